from django.urls import path

from charting.treatment import adverse_views, gate_views, home_views, views

urlpatterns = [
    path("visits/<uuid:visit_id>/treatment/", views.treatment, name="treatment"),
    path("visits/<uuid:visit_id>/treatment/add/", views.add, name="treatment-add"),
    path("visits/<uuid:visit_id>/treatment/repeat/", views.repeat, name="treatment-repeat"),
    path("visits/<uuid:visit_id>/treatment/<int:entry_id>/", views.change, name="treatment-change"),
    path("visits/<uuid:visit_id>/treatment/<int:entry_id>/count/", views.count, name="treatment-count"),
    path("visits/<uuid:visit_id>/treatment/<int:entry_id>/remove/", views.remove, name="treatment-remove"),
    path("visits/<uuid:visit_id>/treatment/<int:entry_id>/move/", views.move, name="treatment-move"),
    path("visits/<uuid:visit_id>/treatment/gates/<str:place>/", gate_views.gates, name="gates"),
    path("visits/<uuid:visit_id>/treatment/late-advice/", gate_views.late_advice, name="late-advice"),
    path("visits/<uuid:visit_id>/treatment/needles/", gate_views.incident, name="needle-incident"),
    path("visits/<uuid:visit_id>/home-programme/", home_views.home, name="home-programme"),
    path("patients/<uuid:patient_id>/reactions/", adverse_views.reactions, name="reactions"),
    path(
        "patients/<uuid:patient_id>/reactions/<uuid:event_id>/follow-up/",
        adverse_views.follow_up,
        name="reaction-follow-up",
    ),
    path(
        "patients/<uuid:patient_id>/reactions/<uuid:event_id>/correct/",
        adverse_views.correct,
        name="reaction-correct",
    ),
]
