from django.urls import path

from charting.coding import views

urlpatterns = [
    path("visits/<uuid:visit_id>/codes/", views.codes, name="codes"),
    path("visits/<uuid:visit_id>/codes/choose/", views.choose, name="codes-choose"),
    path("visits/<uuid:visit_id>/codes/remove/", views.remove, name="codes-remove"),
    path("visits/<uuid:visit_id>/codes/move/", views.move, name="codes-move"),
    path("visits/<uuid:visit_id>/codes/carry/", views.carry, name="codes-carry"),
]
