from django.urls import path

from charting.examining import views

urlpatterns = [
    path("visits/<uuid:visit_id>/muscles/", views.muscles, name="muscles"),
]
