from django.urls import path

from charting.telling import reading, views

urlpatterns = [
    path("board/story/", views.tell, name="tell"),
    path("board/story/<slug:screen_id>/", views.screen, name="tell-screen"),
    path("visits/<uuid:visit_id>/told/", reading.told_page, name="told"),
    path("told/now/", reading.now, name="told-now"),
]
