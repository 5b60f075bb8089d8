from django.urls import path

from charting.examination import views

urlpatterns = [
    path("visits/<uuid:visit_id>/joints/", views.joints, name="joints"),
]
