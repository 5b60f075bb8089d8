from django.urls import path

from charting.notes import views

urlpatterns = [
    path("visits/<uuid:visit_id>/note/", views.note, name="note"),
    path("visits/<uuid:visit_id>/note/sign/", views.sign, name="note-sign"),
    path("visits/<uuid:visit_id>/note/addendum/", views.addendum, name="note-addendum"),
    path("visits/<uuid:visit_id>/note.pdf", views.paper, name="note-pdf"),
]
