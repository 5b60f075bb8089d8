from django.urls import path

from charting.moving import views

urlpatterns = [
    path("visits/<uuid:visit_id>/drawing/move/", views.move, name="drawing-move"),
    path("visits/<uuid:visit_id>/drawing/struck/", views.struck, name="drawing-struck"),
]
