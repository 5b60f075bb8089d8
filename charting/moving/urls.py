from django.urls import path

from charting.moving import views

urlpatterns = [
    path("visits/<uuid:visit_id>/drawing/move/", views.move, name="drawing-move"),
    path("visits/<uuid:visit_id>/drawing/struck/<uuid:strike_id>/", views.struck, name="drawing-struck"),
]
