from django.urls import path

from charting.sites import emergency_views, views

urlpatterns = [
    path("sites/", views.sites, name="sites"),
    path("sites/people-at-none/", views.at_none, name="sites-none"),
    path("sites/<int:site_id>/", views.site, name="site"),
    path("sites/<int:site_id>/close/", views.close, name="site-close"),
    path("sites/<int:site_id>/open/", views.reopen, name="site-open"),
    path("patients/<uuid:patient_id>/sites/", views.patient_sites, name="patient-sites"),
    path("emergency-access/", emergency_views.emergency_access, name="emergency-access"),
    path("emergency-access/all/", emergency_views.emergencies, name="emergencies"),
    path("emergency-access/<uuid:access_id>/", emergency_views.emergency, name="emergency"),
    path("emergency-access/<uuid:access_id>/end/", emergency_views.end, name="emergency-end"),
]
