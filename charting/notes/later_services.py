"""Write into a signed note: late entry, addendum, correction, amendment. The original stays as it is."""

from dataclasses import dataclass
from datetime import date

from django.db import IntegrityError, transaction
from django.utils import timezone

from charting.audit.services import record
from charting.drafts.services import forget
from charting.notes import kept_papers, later_queries, queries
from charting.notes.models import Addendum, AmendmentRequest, AmendmentStep, SignedNote
from charting.notes.password import NotSigned, check_password
from charting.notes.services import draft_key
from charting.patients.queries import of_person
from charting.report.papers import Signature
from charting.staff.models import User
from charting.staff.rights import require

Kind = Addendum.Kind
LONGEST_TITLE = Addendum._meta.get_field("author_title").max_length or 0


class NotInNote(NotSigned):
    def __init__(self) -> None:
        super().__init__("These words do not stand in the note. Copy them from it as they stand there.")


@dataclass(frozen=True)
class Entry:
    """What is written. `of_day`: the day that new information is of (addendum); `wrong`: words of the note
    (correction); `request`: the accepted one (amendment). What another kind asks for is left out.
    """

    kind: str
    text: str
    of_day: date | None = None
    wrong: str = ""
    request: AmendmentRequest | None = None


def write_later(*, who: User, note: SignedNote, entry: Entry, password: str) -> Addendum:
    """Add an entry after the original. New papers are stored beside the old ones, which stay as they are.
    The same by the same person again is what was added before: a second tap adds nothing.

    Raises PermissionDenied, NotSigned (why, in plain words), NotInNote for a correction of words that do not
    stand there.
    """
    require(who, "sign")
    check_password(who=who, password=password, at=note.visit)
    row = _row(who, note, entry)
    if made_before := later_queries.entry_just_so(row):
        return made_before
    _check(note, entry)
    before, cosigned = queries.addenda_of(note), queries.cosignature_of(note)
    row.number = len(before) + 1
    papers = kept_papers.made(
        note.content,
        queries.signature_of(note),
        note.content_sha256,
        (*before, queries.as_added(row, note)),
        waits=note.needs_cosign and cosigned is None,
        cosigned=cosigned,
    )
    try:
        return _store(who, row, papers, cosigned)
    except IntegrityError as problem:
        if made_before := later_queries.entry_just_so(row):
            return made_before
        raise NotSigned("Somebody else added to this note just now. Read it, then try again.") from problem


def _row(who: User, note: SignedNote, entry: Entry) -> Addendum:
    """Not stored, without its number."""
    now = timezone.now()
    today = now.astimezone(note.visit.patient.practice.zone).date()
    is_new = entry.kind == Kind.ADDENDUM
    return Addendum(
        note=note,
        kind=entry.kind,
        about_on=(entry.of_day or today) if is_new else queries.service_day(note),
        wrong=entry.wrong.strip() if entry.kind == Kind.CORRECTION else "",
        request=entry.request if entry.kind == Kind.AMENDMENT else None,
        author=who,
        author_name=str(who),
        author_title=_title(who),
        text=entry.text.strip(),
        written_at=now,
    )


def _title(who: User) -> str:
    """A trainee's profession says so: an entry is not co-signed."""
    said = ", ".join(word for word in (who.title, "trainee" if who.is_trainee else "") if word)
    return said[-LONGEST_TITLE:]


def _check(note: SignedNote, entry: Entry) -> None:
    if not entry.text.strip():
        raise NotSigned("Nothing is written.")
    if entry.kind == Kind.CORRECTION:
        if not entry.wrong.strip():
            raise NotSigned("Say which words of the note are wrong.")
        if not later_queries.stands_in(note, entry.wrong):
            raise NotInNote
    if entry.kind == Kind.AMENDMENT:
        _check_request(note, entry.request)


def _check_request(note: SignedNote, request: AmendmentRequest | None) -> None:
    """It was accepted, it is about this note, and it does not stand there yet."""
    if request is None:
        raise NotSigned("Choose the request that was accepted.")
    of_them = AmendmentRequest.objects.filter(of_person(note.visit.patient), pk=request.pk)
    if request.visit_id not in (None, note.visit_id) or not of_them.exists():
        raise NotSigned("This request is about another record.")
    if not request.steps.filter(what=AmendmentStep.What.ACCEPTED).exists():
        raise NotSigned("This request is not accepted. Decide about it first.")
    if later_queries.is_entered(request, note):
        raise NotSigned("This request stands in the note already. Read it, then add what is missing.")


@transaction.atomic
def _store(who: User, row: Addendum, papers: dict[str, bytes], cosigned: Signature | None) -> Addendum:
    # One write at a time: what was printed must be what stands, co-signature and all.
    SignedNote.objects.select_for_update().get(pk=row.note_id)
    if queries.cosignature_of(row.note) != cosigned:
        raise NotSigned("This note was co-signed just now. Read it, then try again.")
    row.save(force_insert=True)
    kept_papers.store(row.note, row.number, papers, cosigned=cosigned is not None)
    forget(who=who, key=draft_key(row.note.visit))
    record(who=who, did=f"added {row.get_kind_display().lower()}", what=row.note.visit, number=row.number)
    return row
