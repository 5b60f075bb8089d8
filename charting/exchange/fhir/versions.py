"""The versions of a note: as signed, as co-signed, and one more with everything that was written afterwards.

Each version is a Composition of its own and replaces the one before, which stays in the bundle.
"""

import uuid
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime

from charting.exchange.fhir import ids
from charting.exchange.fhir.reading import KeptVisit
from charting.notes.models import SignedPaper
from charting.staff.models import User

PRELIMINARY, FINAL, AMENDED = "preliminary", "final", "amended"


@dataclass(frozen=True)
class Version:
    """`number` from 1; `by` made it at `at`; it holds the first `addenda`; `cosigned`: both signatures."""

    number: int
    id: uuid.UUID
    status: str
    at: datetime
    by: User
    by_name: str
    meaning: str
    addenda: int = 0
    cosigned: bool = False
    paper: SignedPaper | None = None

    @property
    def paper_id(self) -> uuid.UUID:
        return ids.beneath(self.id, "paper")


def versions_of(one: KeptVisit) -> tuple[Version, ...]:
    """The oldest first. Of a visit that is not signed: one preliminary version."""
    if one.note is None:
        name = str(one.visit.clinician)
        draft = ids.beneath(one.id, "composition:draft")
        return (Version(1, draft, PRELIMINARY, one.visit.started_at, one.visit.clinician, name, ""),)
    return tuple(_steps(one))


def _steps(one: KeptVisit) -> Iterator[Version]:
    """A trainee's note is preliminary until it is co-signed, and final then, whatever was added before."""
    papers = {(paper.addenda, paper.cosigned): paper for paper in one.papers}
    addenda, cosigned, was_final, is_amended = 0, False, False, False
    for number, event in enumerate(_events(one), 1):
        addenda, cosigned = addenda + event.adds, cosigned or event.cosigns
        is_amended = is_amended or (was_final and event.adds)
        waits = bool(one.note and one.note.needs_cosign and not cosigned)
        status = PRELIMINARY if waits else AMENDED if is_amended else FINAL
        was_final = was_final or not waits
        yield Version(
            number=number,
            id=ids.beneath(one.id, f"composition:{number}"),
            status=status,
            at=event.at,
            by=event.by,
            by_name=event.name,
            meaning=event.meaning,
            addenda=addenda,
            cosigned=cosigned,
            paper=papers.get((addenda, cosigned)),
        )


@dataclass(frozen=True)
class _Event:
    """What made a further version: the signature, the co-signature, an addendum."""

    at: datetime
    by: User
    name: str
    meaning: str
    adds: bool = False
    cosigns: bool = False


def _events(one: KeptVisit) -> list[_Event]:
    if one.note is None:
        return []
    note, second = one.note, one.cosignature
    signed = _Event(note.signed_at, note.signed_by, note.signer_name, note.meaning)
    later = [_Event(row.written_at, row.author, row.author_name, "author", adds=True) for row in one.addenda]
    if second:
        later.append(
            _Event(second.signed_at, second.signed_by, second.signer_name, second.meaning, cosigns=True)
        )
    return [signed, *sorted(later, key=lambda event: event.at)]
