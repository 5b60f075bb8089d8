"""What an export is made of: a visit with its content, frozen where it is signed, and a person."""

import uuid
from collections.abc import Iterable
from dataclasses import dataclass
from functools import cached_property
from typing import Any

from charting.consent.models import Consent
from charting.exchange.fhir import ids
from charting.notes.models import Addendum, CoSignature, SignedNote, SignedPaper
from charting.notes.queries import recorded_in, signed_note_of
from charting.patients.models import Patient
from charting.staff.models import Practice, User
from charting.visits.models import Visit


@dataclass(frozen=True)
class KeptVisit:
    """One visit. `content`: as it was signed, or as it is recorded now while the visit is open."""

    visit: Visit
    content: dict[str, Any]
    note: SignedNote | None

    @property
    def id(self) -> uuid.UUID:
        return self.visit.pk

    @property
    def practice(self) -> Practice:
        return self.visit.patient.practice

    @property
    def zone(self) -> str:
        return self.note.time_zone if self.note else self.practice.time_zone

    @property
    def status(self) -> str:
        """Of what was observed: nothing is final before the signature."""
        return "final" if self.note else "preliminary"

    @cached_property
    def addenda(self) -> tuple[Addendum, ...]:
        return tuple(self.note.addenda.select_related("author")) if self.note else ()

    @cached_property
    def cosignature(self) -> CoSignature | None:
        rows = CoSignature.objects.filter(note=self.note).select_related("signed_by")
        return rows.first() if self.note else None

    @cached_property
    def papers(self) -> tuple[SignedPaper, ...]:
        """Every stored paper in the size that the practice uses, without bytes, the oldest first."""
        if self.note is None:
            return ()
        rows = self.note.papers.filter(paper=self.practice.paper).defer("pdf")
        return tuple(rows.order_by("addenda", "cosigned"))

    @cached_property
    def consents(self) -> tuple[Consent, ...]:
        """Signed in this visit, or confirmed in it and signed before."""
        rows = Consent.objects.select_related("explained_by", "withdrawn")
        here = rows.filter(visit=self.visit)
        confirmed = rows.filter(confirmations__visit=self.visit)
        return tuple((here | confirmed).distinct().prefetch_related("confirmations"))

    @property
    def staff(self) -> tuple[User, ...]:
        """Everybody whom the resources of this visit name."""
        signers = [self.note.signed_by] if self.note else []
        signers += [self.cosignature.signed_by] if self.cosignature else []
        explained = [one.explained_by for one in self.consents]
        return tuple(
            {
                ids.of_user(user): user
                for user in (
                    self.visit.clinician,
                    *signers,
                    *(one.author for one in self.addenda),
                    *explained,
                )
            }.values()
        )


def kept(visit: Visit) -> KeptVisit:
    """Reads a signed visit from its frozen content, an open one as it stands (some tens of milliseconds)."""
    note = signed_note_of(visit) if visit.is_signed else None
    return KeptVisit(visit, note.content if note else recorded_in(visit), note)


def persons(patient: Patient) -> tuple[Patient, ...]:
    """The record of a person, and those that were found to be the same person and merged into it."""
    return (patient, *Patient.objects.filter(merged_into=patient).order_by("record_number"))


def visits_of(people: Iterable[Patient]) -> tuple[Visit, ...]:
    """All visits of these records, the oldest first."""
    known = Visit.objects.select_related("patient__practice", "clinician", "episode")
    return tuple(known.filter(patient__in=[one.pk for one in people]).order_by("started_at"))
