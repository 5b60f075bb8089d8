"""The one Django app: everything that happens to a person in the clinic."""

from django.apps import AppConfig


class Charting(AppConfig):
    name = "charting"
    default_auto_field = "django.db.models.BigAutoField"

    def ready(self) -> None:
        from charting.staff import signals  # noqa: F401, PLC0415 - connects what is done at sign-in
