from django.urls import path

from charting.drawing import views

urlpatterns = [
    path("visits/<uuid:visit_id>/drawing-step/", views.step, name="drawing-step"),
    path("visits/<uuid:visit_id>/drawing/", views.board, name="drawing"),
    path("visits/<uuid:visit_id>/drawing/save/", views.save, name="drawing-save"),
    path("visits/<uuid:visit_id>/hand-over/", views.hand_over, name="hand-over"),
    path("board/", views.patient_board, name="board"),
    path("board/save/", views.patient_save, name="board-save"),
    path("board/done/", views.patient_done, name="board-done"),
]
