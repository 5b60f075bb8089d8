from django.urls import path

from charting.consent import views, wording_views

VISIT, PATIENT = "visits/<uuid:visit_id>/consents", "patients/<uuid:patient_id>/consents"
urlpatterns = [
    path(f"{VISIT}/", views.consents, name="consents"),
    path(f"{VISIT}/<slug:text_id>/sign/", views.sign, name="consent-sign"),
    path(f"{VISIT}/<int:consent_id>/confirm/", views.confirm, name="consent-confirm"),
    path(f"{PATIENT}/", views.of_patient, name="patient-consents"),
    path(f"{PATIENT}/<int:consent_id>/withdraw/", views.withdraw, name="consent-withdraw"),
    path("consent-texts/", wording_views.texts, name="consent-texts"),
    path("consent-texts/<slug:text_id>/", wording_views.text, name="consent-text"),
    path("consent-texts/<slug:text_id>/edit/", wording_views.edit, name="consent-text-edit"),
    path("consent-texts/<slug:text_id>/use/", wording_views.use, name="consent-text-use"),
    path(
        "consent-texts/<slug:text_id>/versions/<int:number>/",
        wording_views.version,
        name="consent-text-version",
    ),
]
