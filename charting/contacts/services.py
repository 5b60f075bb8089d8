"""Every write to the contact log and to the papers of a chart. Rows are only ever added."""

import hashlib
import uuid
from collections.abc import Sequence
from datetime import date, datetime, timedelta
from typing import Any

from django.core.exceptions import PermissionDenied
from django.db import transaction
from django.utils import timezone

from charting.audit.services import record
from charting.contacts.decoding import Picture
from charting.contacts.models import Attachment, AttachmentStruck, Contact
from charting.contacts.queries import Line, line_of, ways_written_by
from charting.drafts.services import forget
from charting.patients.access import charts_of, patients_of
from charting.patients.models import Patient
from charting.patients.queries import of_person
from charting.staff.models import User
from charting.staff.rights import require

# A clock on the desk may be a little ahead of the server's. Common practice.
AHEAD = timedelta(minutes=5)
LONGEST_WORDS = 2000
LONGEST_WHY = 300


class NotKept(Exception):
    """Why a line or a paper was not written, in words for the page."""


def draft_key(patient: Patient) -> str:
    return f"contact:{patient.pk}"


def further_draft_key(line: Contact, verb: str) -> str:
    return f"contact:{verb}:{line.pk}"


def paper_draft_key(patient: Patient) -> str:
    return f"paper:{patient.pk}"


@transaction.atomic
def log(
    *,
    who: User,
    patient: Patient,
    id: uuid.UUID,  # noqa: A002 - the name of the column
    way: str,
    happened_at: datetime,
    words: str,
    needs_follow_up: bool,
) -> Contact:
    """Add a line to the log. The same `id` sent again gives the line made before.

    Raises NotKept; PermissionDenied for a kind of contact that `who` may not log.
    """
    row = Contact(id=id, patient=patient, way=way, happened_at=happened_at, words=words)
    row.needs_follow_up = needs_follow_up
    _lock(who, patient)
    return _added(who, row, "logged contact", draft_key(patient))


def log_along(*, who: User, patient: Patient, **line: Any) -> Contact:
    """A line that another change writes, of the same members as `log`: call it inside the transaction of that
    change. What somebody is typing into the form of the log meanwhile stays.
    """
    row = Contact(patient=patient, **line)
    _lock(who, patient)
    return _added(who, row, "logged contact", "")


@transaction.atomic
def settle(
    *,
    who: User,
    line: Contact,
    id: uuid.UUID,  # noqa: A002 - the name of the column
    way: str,
    happened_at: datetime,
    words: str,
    needs_follow_up: bool,
) -> Contact:
    """Add the line that says what became of a follow-up. Raises NotKept when it is not open any more."""
    row = Contact(id=id, patient=line.patient, way=way, happened_at=happened_at, words=words, settles=line)
    row.needs_follow_up = needs_follow_up
    _lock(who, line.patient)
    if not _is_there(row) and not _now(who, line).is_open:
        raise NotKept("This follow-up is settled or corrected meanwhile. Look at the log once more.")
    return _added(who, row, "settled follow-up", further_draft_key(line, "settle"))


@transaction.atomic
def correct(
    *,
    who: User,
    line: Contact,
    id: uuid.UUID,  # noqa: A002 - the name of the column
    way: str,
    happened_at: datetime,
    words: str,
    needs_follow_up: bool,
) -> Contact:
    """Add the line that stands in place of a wrong one, which stays. What that one settled stays settled.

    Raises NotKept when somebody corrected it meanwhile.
    """
    row = Contact(id=id, patient=line.patient, way=way, happened_at=happened_at, words=words, corrects=line)
    row.needs_follow_up = needs_follow_up
    row.settles_id = line.settles_id
    _lock(who, line.patient)
    if not _is_there(row) and _now(who, line).corrected_by:
        raise NotKept("Somebody corrected this line meanwhile. Look at the log once more.")
    return _added(who, row, "corrected contact", further_draft_key(line, "correct"))


def _lock(who: User, patient: Patient) -> None:
    """One write to the log of a person at a time, by somebody of the same practice."""
    require(who, "log contacts")
    if not patients_of(who).select_for_update().filter(pk=patient.pk).first():
        raise PermissionDenied("This person is registered with another practice.")


def _now(who: User, line: Contact) -> Line:
    return line_of(who, line.patient, line.pk)


def _is_there(row: Contact) -> bool:
    return Contact.objects.filter(pk=row.pk).exists()


def _added(who: User, row: Contact, did: str, key: str) -> Contact:
    before = Contact.objects.filter(pk=row.pk).first()
    if before:
        if before.patient_id != row.patient_id:
            raise NotKept("Open this page once more: its number was used already.")
        return before
    _check(who, row)
    row.written_by = who
    row.save(force_insert=True)
    forget(who=who, key=key)
    further = {"of": str(row.corrects_id or row.settles_id)} if row.corrects_id or row.settles_id else {}
    record(who=who, did=did, what=row.patient, contact=str(row.pk), way=row.way, **further)
    return row


def _check(who: User, row: Contact) -> None:
    if row.way not in ways_written_by(who):
        raise PermissionDenied(
            f"Your role ({who.get_role_display()}) does not include logging this kind of contact."
        )
    if not 0 < len(row.words.strip()) <= LONGEST_WORDS:
        raise NotKept(f"Write what was said, in at most {LONGEST_WORDS} characters.")
    if row.happened_at > timezone.now() + AHEAD:
        raise NotKept("The time must not be in the future.")


@transaction.atomic
def add_paper(
    *,
    who: User,
    patient: Patient,
    id: uuid.UUID,  # noqa: A002 - that of the paper
    what: str,
    title: str,
    dated: date | None,
    pictures: Sequence[Picture],
) -> uuid.UUID:
    """Put a paper, as pictures made here, into the chart. The same `id` sent again adds nothing.

    Raises NotKept; PermissionDenied.
    """
    _lock_chart(who, patient)
    before = Attachment.objects.filter(paper=id).values_list("patient", flat=True).first()
    if before == patient.pk:
        return id
    if before or not pictures or not title.strip() or what not in Attachment.What.values:
        raise NotKept("Open this page once more, and add the paper with a title and a file.")
    for number, picture in enumerate(pictures, 1):
        Attachment.objects.create(
            patient=patient,
            paper=id,
            what=what,
            title=title.strip(),
            dated=dated,
            media_type=picture.media_type,
            page=number,
            pages=len(pictures),
            content=picture.content,
            sha256=hashlib.sha256(picture.content).hexdigest(),
            added_by=who,
        )
    forget(who=who, key=paper_draft_key(patient))
    record(who=who, did="added paper", what=patient, paper=str(id), pages=len(pictures))
    return id


@transaction.atomic
def strike_paper(*, who: User, patient: Patient, paper: uuid.UUID, why: str) -> AttachmentStruck:
    """Take a paper out of use, with a reason; its rows stay. Raises NotKept when it is so already."""
    _lock_chart(who, patient)
    if not 0 < len(why.strip()) <= LONGEST_WHY:
        raise NotKept(f"Write why, in at most {LONGEST_WHY} characters.")
    if AttachmentStruck.objects.filter(paper=paper).exists():
        raise NotKept("Somebody took this paper out of use meanwhile.")
    if not Attachment.objects.filter(of_person(patient), paper=paper).exists():
        raise PermissionDenied("This paper is not one of this chart.")
    struck = AttachmentStruck.objects.create(paper=paper, why=why.strip(), struck_by=who)
    record(who=who, did="struck paper", what=patient, paper=str(paper))
    return struck


@transaction.atomic
def look_at(*, who: User, patient: Patient, paper: uuid.UUID, page: int = 0) -> None:
    """Write down that somebody opened a paper, or the picture of one of its pages."""
    if page:
        record(who=who, did="opened paper picture", what=patient, paper=str(paper), page=page)
    else:
        record(who=who, did="opened paper", what=patient, paper=str(paper))


def _lock_chart(who: User, patient: Patient) -> None:
    require(who, "treat")
    if not charts_of(who).select_for_update().filter(pk=patient.pk).first():
        raise PermissionDenied("This person is registered with another practice.")
