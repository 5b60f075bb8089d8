from django.urls import path

from charting.consent import views

urlpatterns = [
    path("visits/<uuid:visit_id>/consents/", views.consents, name="consents"),
    path("visits/<uuid:visit_id>/consents/<slug:text_id>/sign/", views.sign, name="consent-sign"),
]
