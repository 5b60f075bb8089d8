from django.urls import path

from charting.history import views

urlpatterns = [
    path("visits/<uuid:visit_id>/story/", views.story, name="story"),
    path("visits/<uuid:visit_id>/story/carry/", views.carry_forward, name="story-carry"),
    path("visits/<uuid:visit_id>/danger-screen/", views.danger, name="danger-screen"),
]
