from django.urls import path

from charting.intake import late, reading, views

urlpatterns = [
    path("board/on/", views.on, name="board-on"),
    path("board/scores/", views.scores, name="intake-scores"),
    path("board/scores/<slug:screen_id>/", views.score, name="intake-score"),
    path("board/reading/", reading.reading, name="intake-reading"),
    path("board/reading/<slug:text_id>/<int:part>/", reading.part, name="intake-read"),
    path("board/reading/end/", reading.end, name="intake-read-end"),
    path("board/late/", late.from_device, name="board-late"),
    path("hand-overs/<uuid:hand_over_id>/late/", late.from_staff, name="hand-over-late"),
]
