from django.urls import path

from charting.patients import views

urlpatterns = [
    path("patients/", views.patients, name="patients"),
    path("patients/new/", views.new, name="patient-new"),
    path("patients/<uuid:patient_id>/", views.patient, name="patient"),
    path("patients/<uuid:patient_id>/edit/", views.edit, name="patient-edit"),
]
