from django.urls import path

from charting.treatment import views

urlpatterns = [
    path("visits/<uuid:visit_id>/treatment/", views.treatment, name="treatment"),
]
