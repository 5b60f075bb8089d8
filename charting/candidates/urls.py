from django.urls import path

from charting.candidates import views

urlpatterns = [
    path("visits/<uuid:visit_id>/what-to-examine/", views.what_to_examine, name="candidates"),
]
