from django.urls import path

from charting.handover import views

urlpatterns = [
    path("visits/<uuid:visit_id>/hand-over/", views.hand_over, name="hand-over"),
    path("board/", views.board, name="board"),
    path("board/confirm/", views.confirm, name="board-confirm"),
    path("board/save/", views.save, name="board-save"),
    path("board/words/", views.words, name="board-words"),
    path("board/areas/", views.areas, name="board-areas"),
    path("board/worker.js", views.worker, name="board-worker"),
    path("board/offline/", views.offline, name="board-offline"),
    path("board/done/", views.done, name="board-done"),
    path("hand-overs/<uuid:hand_over_id>/key/", views.key, name="hand-over-key"),
    path("hand-overs/<uuid:hand_over_id>/rest/", views.rest, name="hand-over-rest"),
]
