"""Every read of contacts and papers. Each begins at the patients' door."""

import uuid
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime

from django.db.models import Exists, OuterRef, QuerySet
from django.http import Http404
from django.shortcuts import get_object_or_404

from charting.contacts.models import Attachment, AttachmentStruck, Contact
from charting.patients.access import chart_records_of, charts_of, records_of
from charting.patients.models import Patient
from charting.patients.queries import of_person, stands_as
from charting.staff.models import User
from charting.staff.rights import may

Way = Contact.Way
# What passes the desk, so who opens no chart may log and read it: never what was reported of a reaction.
DESK = (Way.CALL_FROM, Way.CALL_TO, Way.MESSAGE, Way.MISSED, Way.CANCELLED)


@dataclass(frozen=True)
class Line:
    """One line of the log, with the later line that settles its follow-up and the one that corrects it.

    `corrected_by` and `settled_by` may be lines that this member of staff may not read: name and time only.
    """

    contact: Contact
    settled_by: Contact | None
    corrected_by: Contact | None

    @property
    def is_open(self) -> bool:
        return self.contact.needs_follow_up and not self.settled_by and not self.corrected_by


@dataclass(frozen=True)
class OpenFollowUp:
    """A contact that somebody is still to follow up."""

    patient: Patient
    words: str
    since: datetime


@dataclass(frozen=True)
class Paper:
    """One paper with the rows of its pages, without their pictures; `struck` says why it is out of use."""

    id: uuid.UUID
    pages: tuple[Attachment, ...]
    struck: AttachmentStruck | None

    @property
    def first(self) -> Attachment:
        return self.pages[0]


def ways_read_by(user: User) -> tuple[str, ...]:
    """The kinds of contact this member of staff may read."""
    if may(user, "open chart"):
        return tuple(Way)
    return DESK if may(user, "log contacts") else ()


def ways_written_by(user: User) -> tuple[str, ...]:
    """The kinds of contact this member of staff may log."""
    if not may(user, "log contacts"):
        return ()
    return tuple(Way) if may(user, "treat") else DESK


def log_of(user: User, patient: Patient) -> tuple[Line, ...]:
    """The lines of the log this member of staff may read, newest first. One query."""
    known = Contact.objects.filter(of_person(patient)).select_related("written_by")
    rows = list(known) if ways_read_by(user) else []
    for row in rows:
        # What is added to a line of a merged record stands under the record that holds the person now.
        row.patient = patient
    corrected = {row.corrects_id: row for row in rows if row.corrects_id}
    settled = {row.settles_id: row for row in rows if row.settles_id and row.pk not in corrected}
    hidden = _hidden(rows, ways_read_by(user))
    return tuple(
        Line(row, settled.get(row.pk), corrected.get(row.pk)) for row in rows if row.pk not in hidden
    )


def _hidden(rows: Iterable[Contact], read: tuple[str, ...]) -> set[uuid.UUID]:
    """The lines of other kinds, and those that such a line corrects: a reaction logged as a call at first."""
    hidden: set[uuid.UUID] = set()
    for row in sorted(rows, key=lambda row: row.written_at, reverse=True):
        if row.way not in read or row.pk in hidden:
            hidden |= {row.pk} | ({row.corrects_id} if row.corrects_id else set())
    return hidden


def line_of(user: User, patient: Patient, contact_id: uuid.UUID) -> Line:
    """One line of the log. Raises Http404 for one that is not this user's to read."""
    for line in log_of(user, patient):
        if line.contact.pk == contact_id:
            return line
    raise Http404("There is no such line in this log.")


def open_contact_follow_ups(user: User) -> tuple[OpenFollowUp, ...]:
    """What somebody of the practice is still to follow up, the longest waiting first."""
    standing = Contact.objects.filter(corrected_by=None)
    rows = standing.filter(
        ~Exists(standing.filter(settles=OuterRef("pk"))),
        patient__in=records_of(user),
        way__in=ways_read_by(user),
        needs_follow_up=True,
    )
    found = rows.select_related("patient__merged_into").order_by("happened_at")
    return tuple(OpenFollowUp(stands_as(row.patient), row.words, row.happened_at) for row in found)


def papers_of(user: User, patient: Patient) -> tuple[Paper, ...]:
    """The papers of a chart, added last first, those out of use too. Two queries, no picture is read."""
    found: dict[uuid.UUID, list[Attachment]] = {}
    for row in _pages_of(user, patient).defer("content").select_related("added_by"):
        found.setdefault(row.paper, []).append(row)
    struck = {
        each.paper: each
        for each in AttachmentStruck.objects.filter(paper__in=found).select_related("struck_by")
    }
    return tuple(Paper(paper, _in_order(rows), struck.get(paper)) for paper, rows in found.items())


def _in_order(rows: list[Attachment]) -> tuple[Attachment, ...]:
    return tuple(sorted(rows, key=lambda row: row.page))


def paper_of(user: User, patient: Patient, paper: uuid.UUID) -> Paper:
    """One paper, out of use or not. Raises Http404."""
    for each in papers_of(user, patient):
        if each.id == paper:
            return each
    raise Http404("There is no such paper in this chart.")


def page_of(user: User, patient: Patient, paper: uuid.UUID, page: int) -> Attachment:
    """One page with its picture. Raises Http404, also for a paper that was taken out of use."""
    if AttachmentStruck.objects.filter(paper=paper).exists():
        raise Http404("This paper was taken out of use.")
    return get_object_or_404(_pages_of(user, patient), paper=paper, page=page)


def chart_with_papers(user: User, patient_id: uuid.UUID) -> Patient:
    """One person whose papers this member of staff may open. Raises Http404."""
    return get_object_or_404(charts_of(user).select_related("practice"), pk=patient_id)


def _pages_of(user: User, patient: Patient) -> QuerySet[Attachment]:
    return Attachment.objects.filter(of_person(patient), patient__in=chart_records_of(user))
