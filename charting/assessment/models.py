"""What the clinician concludes about each symptom area."""

from django.db import models

from charting.visits.models import Visit


class Conclusion(models.Model):
    """The conclusion about one symptom area, or about the visit as a whole where nothing is drawn."""

    visit = models.ForeignKey(Visit, on_delete=models.PROTECT, related_name="conclusions")
    # The strokes of the area when it was written, as in AreaAnswer: it belongs to the area that holds the
    # first one standing. [] for the visit as a whole.
    strokes = models.JSONField(default=list)
    # What that area was called then, to be read when it is gone: "Area 1, left neck".
    where = models.CharField(max_length=200, blank=True)
    # The area is gone, and the clinician left this out of the note.
    left_out = models.BooleanField(default=False)
    # charting.assessment.written.Source: [{"layer": "muscle", "id": "scalenus_medius", "side": "left",
    # "certainty": "likely", "name": "Scalenus medius"}, ...]
    sources = models.JSONField(default=list)
    # charting.assessment.written.Sentence: [{"key": "felt:scalenus_medius:left:", "about": "source" |
    # "ruled_out" | "open" | "own", "text": "...", "made_from": "...", "out": false}, ...]
    sentences = models.JSONField(default=list)
    version = models.PositiveIntegerField(default=1)

    class Meta:
        app_label = "charting"
        ordering = ["pk"]

    def __str__(self) -> str:
        return f"conclusion in {self.visit_id}"
