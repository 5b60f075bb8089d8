"""What was written about an invented course after its notes were signed: letters, late entries, a request."""

import uuid
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from charting.episodes.queries import episodes_of
from charting.letters import services as letters
from charting.letters.content import assemble
from charting.letters.content import fingerprint as letter_fingerprint
from charting.letters.gathered import gather
from charting.letters.models import Letter
from charting.management import demo
from charting.management.clock import Clock
from charting.management.course_checks import CourseError
from charting.notes import amendments_services, later_services
from charting.notes.later_services import Entry
from charting.notes.models import Addendum, SignedNote
from charting.patients.models import Patient
from charting.staff.models import User

LETTERS = Letter.Kind.values
# A request has a way of its own to become an entry.
LATER = [kind for kind in Addendum.Kind.values if kind != Addendum.Kind.AMENDMENT]


def check(table: str, said: Mapping[str, Any], entry: str) -> None:
    """Raises CourseError with what to mend."""
    known = {"letter": LETTERS, "later": LATER}.get(table)
    if known and said["kind"] not in known:
        raise CourseError(f"{entry}: kind: one of {', '.join(known)}, not {said['kind']!r}")


@dataclass(frozen=True)
class LetterWriter:
    """Writes one of them; writing it again adds nothing."""

    patient: Patient
    who: User
    clock: Clock

    def letter(self, said: Mapping[str, Any]) -> None:
        """As it is assembled, signed as it stands."""
        (episode,) = episodes_of(self.patient)
        if Letter.objects.filter(episode=episode, kind=said["kind"]).exclude(signed_at=None).exists():
            return
        letter = letters.begin(who=self.who, episode=episode, kind=said["kind"])
        self.clock.forward(9)
        read = letter_fingerprint(assemble(gather(self.who, episode), letter))
        letters.sign(who=self.who, letter=letter, password=demo.load()["password"], read=read)

    def later(self, said: Mapping[str, Any]) -> None:
        entry = Entry(kind=said["kind"], text=said["words"], wrong=said.get("wrong", ""))
        note = list(self._notes())[said["visit"] - 1]
        later_services.write_later(who=self.who, note=note, entry=entry, password=demo.load()["password"])

    def request(self, said: Mapping[str, Any]) -> None:
        amendments_services.record_request(
            who=self.who,
            patient=self.patient,
            id=uuid.uuid5(self.patient.pk, f"request {said['days_ago']}"),
            received_on=self.clock.moment.date(),
            asked_by=self.patient.name,
            words=said["words"],
            reason=said.get("reason", ""),
            visit=list(self._notes())[said["visit"] - 1].visit,
        )

    def _notes(self) -> Iterator[SignedNote]:
        notes = SignedNote.objects.select_related("visit__patient__practice")
        yield from notes.filter(visit__patient=self.patient).order_by("visit__started_at")
