"""Every read of requests for amendment: what became of each, and when it is due."""

import uuid
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date

from django.db.models import Prefetch, Q, QuerySet
from django.http import Http404

from charting.notes import amendments
from charting.notes.models import Addendum, AmendmentRequest, AmendmentStep, SignedNote
from charting.patients.access import chart_records_of
from charting.patients.models import Patient
from charting.patients.queries import of_person_or_visit, stands_as
from charting.staff.models import User
from charting.visits.models import Visit

What = AmendmentStep.What
DECIDED = (What.ACCEPTED, What.DENIED)


@dataclass(frozen=True)
class Asked:
    """A request with what became of it, oldest step first, and the entries it led to."""

    row: AmendmentRequest
    steps: tuple[AmendmentStep, ...]
    entries: tuple[Addendum, ...]

    @property
    def decision(self) -> AmendmentStep | None:
        return next((step for step in self.steps if step.what in DECIDED), None)

    @property
    def is_open(self) -> bool:
        """Nobody has decided yet."""
        return self.decision is None

    @property
    def is_extended(self) -> bool:
        return self._has(What.EXTENDED)

    @property
    def has_disagreed(self) -> bool:
        return self._has(What.DISAGREED)

    @property
    def due_on(self) -> date:
        return amendments.load().due_on(self.row.received_on, extended=self.is_extended)

    @property
    def first_due_on(self) -> date:
        return amendments.load().due_on(self.row.received_on)

    @property
    def longest_due_on(self) -> date:
        return amendments.load().due_on(self.row.received_on, extended=True)

    @property
    def is_to_be_entered(self) -> bool:
        """Accepted, about one note, and it does not stand there yet."""
        accepted = self.decision is not None and self.decision.what == What.ACCEPTED
        return accepted and self.row.visit_id is not None and not self.entries

    @property
    def is_pending(self) -> bool:
        return self.is_open or self.is_to_be_entered

    @property
    def may_follow(self) -> tuple[What, ...]:
        """Which steps can come next."""
        if self.decision is None:
            return (*(() if self.is_extended else (What.EXTENDED,)), What.ACCEPTED, What.DENIED)
        if self.decision.what == What.ACCEPTED or self._has(What.ANSWERED):
            return ()
        return (What.ANSWERED,) if self._has(What.DISAGREED) else (What.DISAGREED,)

    @property
    def state(self) -> str:
        if self.is_open:
            return "more time taken, not decided" if self.is_extended else "not decided"
        if self.is_to_be_entered:
            return "accepted, not yet in the note"
        return {What.EXTENDED: "not decided"}.get(
            What(self.steps[-1].what), self.steps[-1].get_what_display()
        )

    def _has(self, what: What) -> bool:
        return any(step.what == what for step in self.steps)


def requests_of(patient: Patient) -> tuple[Asked, ...]:
    """All of a person, the latest first."""
    return tuple(reversed(_asked(AmendmentRequest.objects.filter(of_person_or_visit(patient)))))


def request_of(patient: Patient, request_id: uuid.UUID) -> Asked:
    """Raises Http404 when this person asked for no such thing."""
    found = _asked(AmendmentRequest.objects.filter(of_person_or_visit(patient), pk=request_id))
    if not found:
        raise Http404("no such request")
    return found[0]


def requests_about(note: SignedNote) -> tuple[Asked, ...]:
    """Those about this note, and about the record as a whole."""
    mine = Q(visit=None) | Q(visit=note.visit_id)
    return _asked(AmendmentRequest.objects.filter(mine, of_person_or_visit(note.visit.patient)))


def accepted_for(note: SignedNote, about: Iterable[Asked]) -> tuple[AmendmentRequest, ...]:
    """The accepted ones of `requests_about` that do not stand in this note yet."""
    return tuple(
        one.row
        for one in about
        if one.decision is not None
        and one.decision.what == What.ACCEPTED
        and all(entry.note_id != note.pk for entry in one.entries)
    )


def pending_requests(user: User) -> tuple[Asked, ...]:
    """Everything of the practice that somebody is still to act on, by the day it is due."""
    mine = AmendmentRequest.objects.filter(patient__in=chart_records_of(user))
    settled = Q(steps__what=What.DENIED) | Q(steps__what=What.ACCEPTED, visit=None)
    entered = Q(steps__what=What.ACCEPTED, addenda__isnull=False)
    left = mine.exclude(pk__in=AmendmentRequest.objects.filter(settled | entered).values("pk"))
    found = (one for one in _asked(left) if one.is_pending)
    return tuple(sorted(found, key=lambda one: one.due_on))


def signed_visits_of(patient: Patient) -> QuerySet[Visit]:
    """What a request may be about, the latest first."""
    return Visit.objects.filter(patient=patient, signed_note__isnull=False).order_by("-started_at")


def _asked(rows: QuerySet[AmendmentRequest]) -> tuple[Asked, ...]:
    """Three queries."""
    steps = Prefetch("steps", AmendmentStep.objects.select_related("done_by"))
    entries = Prefetch("addenda", Addendum.objects.select_related("note"))
    known = rows.select_related("visit__patient", "recorded_by", "patient__merged_into")
    found = known.prefetch_related(steps, entries)
    for row in found:
        # Where the record was merged: the one that holds the person now.
        row.patient = row.visit.patient if row.visit else stands_as(row.patient)
    return tuple(Asked(row, tuple(row.steps.all()), tuple(row.addenda.all())) for row in found)
