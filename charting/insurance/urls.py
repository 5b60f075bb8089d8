from django.urls import path

from charting.insurance import payer_views, views

EPISODE = "episodes/<uuid:episode_id>/insurance"
POLICIES = "patients/<uuid:patient_id>/policies"
urlpatterns = [
    path(f"{EPISODE}/", views.insurance, name="insurance"),
    path(f"{EPISODE}/authorise/", views.authorise, name="insurance-authorise"),
    path(f"{EPISODE}/authorisations/<uuid:row_id>/", views.authorisation, name="insurance-authorisation"),
    path(f"{EPISODE}/work-status/", views.work, name="insurance-work"),
    path(f"{EPISODE}/certify/", views.certify, name="insurance-certify"),
    path(f"{POLICIES}/", payer_views.policies, name="policies"),
    path(f"{POLICIES}/<uuid:policy_id>/", payer_views.policy, name="policy"),
    path("payers/", payer_views.payers, name="payers"),
    path("payers/<int:payer_id>/", payer_views.payer, name="payer"),
    path("registration-numbers/", payer_views.numbers, name="registration-numbers"),
]
