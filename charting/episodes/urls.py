from django.urls import path

from charting.episodes import views

urlpatterns = [
    path("episodes/<uuid:episode_id>/title/", views.title, name="episode-title"),
    path("episodes/<uuid:episode_id>/reopen/", views.reopen, name="episode-reopen"),
]
