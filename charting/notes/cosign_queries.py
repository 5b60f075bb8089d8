"""Who co-signs what: reads of notes that trainees signed."""

from dataclasses import dataclass

from charting.notes import queries
from charting.notes.models import SignedNote
from charting.patients.access import charts_of
from charting.report.content import fingerprint
from charting.report.papers import Signature
from charting.staff.models import User
from charting.staff.queries import clinicians_beside
from charting.staff.rights import may


@dataclass(frozen=True)
class Cosign:
    """How it stands with the second signature. `may`: this person may give it now; `others`: who else may."""

    is_needed: bool
    signature: Signature | None
    may: bool
    others: tuple[str, ...]

    @property
    def waits(self) -> bool:
        return self.is_needed and self.signature is None


def cosign_of(note: SignedNote, user: User) -> Cosign:
    signature = queries.cosignature_of(note) if note.needs_cosign else None
    waits = note.needs_cosign and signature is None
    people = cosigners_beside(user) if waits else ()
    others = tuple(str(one) for one in people if one.pk not in (user.pk, note.signed_by_id))
    mine = waits and may(user, "co-sign") and note.signed_by_id != user.pk
    return Cosign(note.needs_cosign, signature, mine, others)


def cosigners_beside(user: User) -> tuple[User, ...]:
    """Everybody in the practice who may co-sign, by name."""
    return tuple(one for one in clinicians_beside(user) if may(one, "co-sign"))


def is_whole(note: SignedNote) -> bool:
    """Whether the stored content still has the fingerprint it was signed with."""
    return fingerprint(note.content) == note.content_sha256


def waiting_for(user: User) -> tuple[SignedNote, ...]:
    """The notes of the practice that this person may co-sign, and the own ones that wait for somebody; the
    oldest first. One query.
    """
    rows = SignedNote.objects.filter(needs_cosign=True, cosignature=None, visit__patient__in=charts_of(user))
    rows = rows if may(user, "co-sign") else rows.filter(signed_by=user)
    found = rows.select_related("visit__patient").order_by("signed_at").defer("content")
    return tuple(one for one in found if may(user, "co-sign") or one.signed_by_id == user.pk)
