from django.urls import path

from charting.telling import views

urlpatterns = [
    path("board/story/", views.tell, name="tell"),
    path("board/story/<slug:group>/", views.screen, name="tell-screen"),
]
