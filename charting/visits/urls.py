from django.urls import path

from charting.visits import views

urlpatterns = [
    path("patients/<uuid:patient_id>/visits/start/", views.start, name="visit-start"),
    path("visits/<uuid:visit_id>/", views.visit, name="visit"),
    path("visits/<uuid:visit_id>/complaint/", views.complaint, name="visit-complaint"),
]
