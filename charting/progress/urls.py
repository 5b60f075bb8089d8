from django.urls import path

from charting.progress import views

urlpatterns = [
    path("patients/<uuid:patient_id>/progress/", views.progress, name="progress"),
]
