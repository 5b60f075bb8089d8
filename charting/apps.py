"""The one Django app: everything that happens to a person in the clinic."""

from django.apps import AppConfig


class Charting(AppConfig):
    name = "charting"
    default_auto_field = "django.db.models.BigAutoField"
