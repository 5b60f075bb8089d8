from django.urls import path

from charting.report import views

urlpatterns = [
    path("drawing-sheet.pdf", views.blank, name="blank-sheet"),
    path("atlas/muscle/<str:name>/sheet.pdf", views.muscle, name="muscle-sheet"),
    path("visits/<uuid:visit_id>/drawing-sheet.pdf", views.of_visit, name="visit-sheet"),
    path("visits/<uuid:visit_id>/home-programme.pdf", views.home, name="home-sheet"),
    path(
        "patients/<uuid:patient_id>/consents/<int:consent_id>/copy.pdf",
        views.consent_copy,
        name="consent-copy",
    ),
]
