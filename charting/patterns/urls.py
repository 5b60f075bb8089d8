from django.urls import path

from charting.patterns import views

app_name = "patterns"
urlpatterns = [
    path("patterns/", views.every, name="list"),
    path("patterns/draw/", views.draw, name="draw"),
    path("patterns/export/", views.export, name="export"),
    path("patterns/import/", views.bring, name="import"),
    path("patterns/import/<uuid:file_id>/", views.planned, name="planned"),
    path("patterns/writers/", views.writers, name="writers"),
    path("patterns/drawing/<uuid:drawing_id>/", views.board, name="board"),
    path("patterns/drawing/<uuid:drawing_id>/save/", views.save, name="save"),
    path("patterns/drawing/<uuid:drawing_id>/words/", views.words, name="words"),
    path("patterns/drawing/<uuid:drawing_id>/key/", views.key, name="key"),
    path("patterns/drawing/<uuid:drawing_id>/keep/", views.finish, name="finish"),
    path("patterns/of/<slug:pattern>/", views.pattern, name="pattern"),
    path("patterns/of/<slug:pattern>/use/", views.use, name="use"),
]
