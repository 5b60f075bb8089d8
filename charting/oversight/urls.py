from django.urls import URLPattern, path

from charting.oversight import views

urlpatterns: list[URLPattern] = [
    path("log/", views.log, name="log"),
]
