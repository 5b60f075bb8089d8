from django.urls import path

from charting.assessment import views

urlpatterns = [
    path("visits/<uuid:visit_id>/assessment/", views.assessment, name="assessment"),
    path("visits/<uuid:visit_id>/assessment/<int:row_id>/", views.gone, name="assessment-gone"),
]
