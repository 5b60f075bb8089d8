"""A signed note as it stands in the tables, without the work of signing: its content was signed once."""

import json
from pathlib import Path
from typing import Any

from django.utils import timezone

from charting.notes.models import SignedNote, SignedPaper
from charting.report.content import fingerprint
from charting.staff.models import User
from charting.visits.models import Visit

STORED = Path(__file__).parents[1] / "report" / "visit-note-5.json"
# Words that stand in it.
QUOTED = "Strength of the wrist extensors is to be followed."


def kept_note(visit: Visit, by: User, **more: Any) -> SignedNote:
    """`more`: other columns, for example needs_cosign=True."""
    content = json.loads(STORED.read_text(encoding="utf-8"))
    content["patient"]["record_number"] = visit.patient.record_number
    sealed = {"content": content, "content_sha256": fingerprint(content), "signed_at": timezone.now()}
    about = {"signer_name": str(by), "time_zone": visit.patient.practice.time_zone}
    note = SignedNote.objects.create(visit=visit, signed_by=by, **about, **sealed, **more)
    for paper in ("a4", "letter"):
        SignedPaper.objects.create(note=note, paper=paper, pdf=b"%PDF as signed", sha256="0" * 64)
    Visit.objects.filter(pk=visit.pk).update(signed_at=note.signed_at)
    visit.signed_at = note.signed_at
    return note
