"""What the person has agreed to, in which words, and what of it was taken back."""

from datetime import datetime

from django.db import models

from charting.staff.models import Practice, User
from charting.visits.models import Visit


class Chaperone(models.TextChoices):
    """Whether somebody was offered to be present; "" where nobody had to be."""

    ACCEPTED = "accepted", "offered and accepted"
    DECLINED = "declined", "offered and declined"


class ConsentTextVersion(models.Model):
    """A text of consent as a practice words it; the highest number counts. Append-only (triggers).

    Before the first of a practice stands the text of the release (texts.toml).
    """

    practice = models.ForeignKey(Practice, on_delete=models.PROTECT, related_name="consent_texts")
    text_id = models.CharField(max_length=60)
    number = models.PositiveIntegerField()
    title = models.CharField(max_length=200)
    for_what = models.CharField(max_length=200)
    # [{"heading", "words", "sources": [...]}, ...]
    parts = models.JSONField()
    # As in texts.toml: consent to more than examination; to which procedure; for which sensitive area.
    treats = models.BooleanField()
    procedure = models.CharField(max_length=40)
    sensitive = models.CharField(max_length=40, blank=True)
    in_use = models.BooleanField(default=True)
    reason = models.CharField(max_length=300)
    written_by = models.ForeignKey(User, on_delete=models.PROTECT, related_name="+")
    written_at = models.DateTimeField(auto_now_add=True)

    class Meta:
        app_label = "charting"
        ordering = ["text_id", "-number"]
        constraints = [
            models.UniqueConstraint(fields=["practice", "text_id", "number"], name="one_consent_text")
        ]

    def __str__(self) -> str:
        return f"{self.title} (version {self.number})"


class Consent(models.Model):
    """One signed consent, with the text as it was read. Append-only (triggers)."""

    class Signer(models.TextChoices):
        PATIENT = "patient", "the patient"
        GUARDIAN = "guardian", "a parent or guardian"

    visit = models.ForeignKey(Visit, on_delete=models.PROTECT, related_name="consents")
    text_id = models.CharField(max_length=60)
    text_version = models.PositiveIntegerField()
    title = models.CharField(max_length=200)
    body = models.TextField()
    explained_by = models.ForeignKey(User, on_delete=models.PROTECT, related_name="+")
    signer = models.CharField(max_length=10, choices=Signer.choices, default=Signer.PATIENT)
    signer_name = models.CharField(max_length=160)
    questions = models.TextField(max_length=1000, blank=True)
    # [[[x, y], ...], ...]: the strokes of the signature in a box of 600 x 200; [] when the person
    # signed by the typed name.
    signature = models.JSONField()
    device_time = models.CharField(max_length=40, blank=True)
    # "examination", "manual", "needling": what it allows, several with a space between (a sensitive area);
    # "" for a consent signed before this was kept.
    procedure = models.CharField(max_length=40, blank=True)
    # Ids of consent_areas.toml, with their side: ["neck", "shoulder right"]. Empty: the text as a whole.
    areas = models.JSONField(default=list)
    guardian_relation = models.CharField(max_length=80, blank=True)
    interpreter = models.CharField(max_length=160, blank=True)
    chaperone = models.CharField(max_length=10, choices=Chaperone.choices, blank=True)
    chaperone_name = models.CharField(max_length=160, blank=True)
    signed_at = models.DateTimeField(auto_now_add=True)

    class Meta:
        app_label = "charting"
        ordering = ["signed_at"]

    def __str__(self) -> str:
        return f"{self.title} (version {self.text_version})"

    @property
    def is_drawn(self) -> bool:
        return bool(self.signature)

    @property
    def device_words(self) -> str:
        """The time that the device said, with its offset; as it came where it can't be read."""
        try:
            said = datetime.fromisoformat(self.device_time)
        except ValueError:
            return self.device_time
        return f"{said:%-d %B %Y, %H:%M:%S %Z}".strip()

    @property
    def how_signed(self) -> str:
        return "signed by hand on the screen" if self.is_drawn else "signed by typed name"


class ConsentConfirmed(models.Model):
    """A consent on record, confirmed by word of mouth in a later visit. Append-only (triggers)."""

    consent = models.ForeignKey(Consent, on_delete=models.PROTECT, related_name="confirmations")
    visit = models.ForeignKey(Visit, on_delete=models.PROTECT, related_name="consents_confirmed")
    questions = models.CharField(max_length=500, blank=True)
    chaperone = models.CharField(max_length=10, choices=Chaperone.choices, blank=True)
    chaperone_name = models.CharField(max_length=160, blank=True)
    confirmed_by = models.ForeignKey(User, on_delete=models.PROTECT, related_name="+")
    confirmed_at = models.DateTimeField(auto_now_add=True)

    class Meta:
        app_label = "charting"
        ordering = ["confirmed_at"]
        constraints = [models.UniqueConstraint(fields=["consent", "visit"], name="one_confirmation_a_visit")]

    def __str__(self) -> str:
        return f"confirmed: {self.consent_id}"


class ConsentWithdrawn(models.Model):
    """A consent taken back: nothing more is done under it, and it stays on record. Append-only (triggers)."""

    consent = models.OneToOneField(Consent, on_delete=models.PROTECT, related_name="withdrawn")
    # Who took it back, and how it was said: "patient", "by telephone".
    said_by = models.CharField(max_length=160)
    words = models.TextField(max_length=1000, blank=True)
    recorded_by = models.ForeignKey(User, on_delete=models.PROTECT, related_name="+")
    withdrawn_at = models.DateTimeField(auto_now_add=True)

    class Meta:
        app_label = "charting"

    def __str__(self) -> str:
        return f"withdrawn: {self.consent_id}"
