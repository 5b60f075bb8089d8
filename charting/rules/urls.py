from django.urls import path

from charting.rules import views

urlpatterns = [
    path("rules/", views.rules, name="rules"),
]
