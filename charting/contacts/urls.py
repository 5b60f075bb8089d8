from django.urls import path

from charting.contacts import views

PATIENT = "patients/<uuid:patient_id>"
urlpatterns = [
    path(f"{PATIENT}/contacts/", views.contacts, name="contacts"),
    path(f"{PATIENT}/contacts/<uuid:contact_id>/settle/", views.settle, name="contact-settle"),
    path(f"{PATIENT}/contacts/<uuid:contact_id>/correct/", views.correct, name="contact-correct"),
    path(f"{PATIENT}/papers/", views.papers, name="papers"),
    path(f"{PATIENT}/papers/<uuid:paper_id>/", views.paper, name="paper"),
    path(f"{PATIENT}/papers/<uuid:paper_id>/<int:page>/", views.picture, name="paper-picture"),
    path(f"{PATIENT}/papers/<uuid:paper_id>/strike/", views.strike, name="paper-strike"),
]
