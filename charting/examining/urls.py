from django.urls import path

from charting.examining import views

urlpatterns = [
    path("visits/<uuid:visit_id>/muscles/", views.muscles, name="muscles"),
    path("visits/<uuid:visit_id>/muscles/add/", views.add, name="muscles-add"),
    path("visits/<uuid:visit_id>/muscles/nothing-found/", views.nothing, name="muscles-nothing"),
    path("visits/<uuid:visit_id>/muscles/<int:line_id>/", views.save, name="muscle-save"),
    path("visits/<uuid:visit_id>/muscles/<int:line_id>/remove/", views.remove, name="muscle-remove"),
]
