from django.urls import path

from charting.outcomes import views

urlpatterns = [
    path("visits/<uuid:visit_id>/outcomes/", views.outcomes, name="outcomes"),
]
