from django.urls import path

from charting.flags import views

urlpatterns = [
    path("visits/<uuid:visit_id>/flags/", views.flags, name="flags"),
    path("visits/<uuid:visit_id>/flags/answers/", views.answer, name="flag-answers"),
    path("visits/<uuid:visit_id>/flags/<slug:flag_id>/decide/", views.decide, name="flag-decide"),
    path(
        "visits/<uuid:visit_id>/flags/follow-ups/<uuid:decision_id>/",
        views.follow_up,
        name="follow-up",
    ),
]
