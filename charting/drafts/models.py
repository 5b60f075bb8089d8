"""Half-typed forms, kept on the server so that nothing typed is ever lost."""

from django.conf import settings
from django.db import models


class Draft(models.Model):
    """What one member of staff has typed into one form and not saved yet."""

    user = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.CASCADE)
    # Which form, and whose: "patient:new", "story:<visit id>".
    key = models.CharField(max_length=120)
    data = models.JSONField()
    saved_at = models.DateTimeField(auto_now=True)

    class Meta:
        app_label = "charting"
        constraints = [models.UniqueConstraint(fields=["user", "key"], name="one_draft_per_form")]

    def __str__(self) -> str:
        return self.key
