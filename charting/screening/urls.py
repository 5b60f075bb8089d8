from django.urls import path

from charting.screening import views

urlpatterns = [
    path("visits/<uuid:visit_id>/vitals/", views.vitals, name="vitals"),
    path("visits/<uuid:visit_id>/neuro-screen/", views.neuro, name="neuro-screen"),
]
