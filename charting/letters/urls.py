from django.urls import path

from charting.letters import views

LETTER = "patients/<uuid:patient_id>/letters/<uuid:letter_id>/"

urlpatterns = [
    path("patients/<uuid:patient_id>/letters/", views.letters, name="letters"),
    path(LETTER, views.letter, name="letter"),
    path(f"{LETTER}sign/", views.sign, name="letter-sign"),
    path(f"{LETTER}discard/", views.discard, name="letter-discard"),
    path(f"{LETTER}letter.pdf", views.paper, name="letter-pdf"),
    path("patients/<uuid:patient_id>/issued/<int:issued_id>.pdf", views.issued, name="issued-paper"),
]
