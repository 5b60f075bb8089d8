"""Every read of a note."""

from dataclasses import dataclass
from datetime import timedelta

from django.shortcuts import get_object_or_404
from django.utils import timezone

from charting.audit.models import AuditEntry
from charting.consent.models import Consent
from charting.history.queries import alarms, is_complete
from charting.notes.models import Addendum, NoteText, SignedNote, SignedPaper
from charting.report.papers import Added, Signature, moment
from charting.staff.models import User
from charting.visits.models import Visit

WRONG_PASSWORD = "gave a wrong password at signing"  # noqa: S105 - the name of an audit action
WRONG_TRIES = 5
WRONG_WITHIN = timedelta(minutes=15)


@dataclass(frozen=True)
class Gaps:
    """What stands between a visit and its signature: `stops` must be mended, `warnings` may be accepted."""

    stops: tuple[str, ...]
    warnings: tuple[str, ...]


def text_of(visit: Visit) -> NoteText:
    """The words as saved; an unsaved row with version 0 when nothing was saved yet."""
    return NoteText.objects.filter(visit=visit).first() or NoteText(visit=visit, version=0)


def gaps_of(visit: Visit, text: NoteText) -> Gaps:
    stops = []
    if not is_complete(visit):
        stops.append("The danger screen is not complete.")
    if not text.assessment.strip():
        stops.append("The assessment is empty.")
    warnings = [f"The danger screen asks for action: {alarm.topic.lower()}." for alarm in alarms(visit)]
    if not text.plan.strip():
        warnings.append("The plan is empty.")
    if not Consent.objects.filter(visit=visit).exists():
        warnings.append("No consent is recorded for this visit.")
    return Gaps(tuple(stops), tuple(warnings))


def signed_note_of(visit: Visit) -> SignedNote | None:
    return SignedNote.objects.filter(visit=visit).first()


def signature_of(note: SignedNote) -> Signature:
    return Signature(
        name=note.signer_name,
        title=note.signer_title,
        registration=note.signer_registration,
        meaning=note.meaning,
        at=note.signed_at,
        time_zone=note.time_zone,
    )


def addenda_of(note: SignedNote) -> tuple[Added, ...]:
    """The addenda in order, as they are shown and printed."""
    return tuple(as_added(row, note) for row in note.addenda.all())


def as_added(row: Addendum, note: SignedNote) -> Added:
    when = moment(row.written_at, note.time_zone)
    return Added(row.number, row.author_name, row.author_title, when, row.text)


def paper_of(note: SignedNote, *, paper: str, addenda: int | None = None) -> SignedPaper:
    """The stored bytes: with all addenda, or with the first `addenda` of them (0: as it was signed).

    Raises Http404 when there is no such paper.
    """
    papers = note.papers.filter(paper=paper).order_by("-addenda")
    if addenda is None:
        return get_object_or_404(papers[:1])
    return get_object_or_404(papers, addenda=addenda)


def is_locked_out(user: User) -> bool:
    """Too many wrong passwords at signing within a quarter of an hour (both numbers: common practice)."""
    recent = AuditEntry.objects.filter(
        actor_id=user.pk, action=WRONG_PASSWORD, at__gte=timezone.now() - WRONG_WITHIN
    )
    return recent.count() >= WRONG_TRIES
