from django.urls import path

from charting.progress import compare_views, views

urlpatterns = [
    path("patients/<uuid:patient_id>/progress/", views.progress, name="progress"),
    path("patients/<uuid:patient_id>/progress/compare/", compare_views.compare, name="progress-compare"),
    path(
        "patients/<uuid:patient_id>/episodes/<uuid:episode_id>/discharge/", views.discharge, name="discharge"
    ),
]
