"""Everything that writes to a note: keep its words, sign it once and for all."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Any

from django.db import transaction
from django.utils import timezone

from charting.audit.services import record
from charting.drafts.services import forget
from charting.drawing.cells import keep_cells
from charting.notes import kept_papers, queries
from charting.notes.models import NoteText, SignedNote
from charting.notes.password import NotSigned, check_password
from charting.notes.queries import recorded_in
from charting.notes.sentences_services import Said, keep_sentences
from charting.report import content as report
from charting.report.papers import Signature
from charting.staff.models import User
from charting.staff.rights import require
from charting.treatment.gates import stops_of
from charting.versioning import Stale, save_if_current
from charting.visits.models import Visit
from charting.visits.services import require_open

AUTHOR, TRAINEE = "author", "author (trainee)"


class AlreadySigned(NotSigned):
    def __init__(self, note: SignedNote | None) -> None:
        self.note = note
        by = f" by {note.signer_name}" if note else ""
        super().__init__(
            f"This visit was signed already{by}. Yours was not added; write an addendum instead."
        )


def draft_key(visit: Visit) -> str:
    return f"note:{visit.pk}"


@transaction.atomic
def save_text(
    *,
    who: User,
    visit: Visit,
    version: int,
    assessment: str,
    plan: str,
    subjective: str = "",
    objective: str = "",
    sentences: Iterable[Said] = (),
) -> NoteText:
    """Keep the words under each heading, and what was made of the sentences. Raises Stale when somebody saved
    since `version`, or changed a sentence since it was shown (then `current` is the row of the sentence);
    VisitSigned when signed.
    """
    require(who, "treat")
    require_open(visit)
    words = {"subjective": subjective, "objective": objective, "assessment": assessment, "plan": plan}
    row, made = NoteText.objects.get_or_create(visit=visit, defaults=words)
    if not made:
        save_if_current(row, version=version, **words)
    elif version:
        raise Stale(row)
    changed = keep_sentences(who=who, visit=visit, said=sentences)
    forget(who=who, key=draft_key(visit))
    record(who=who, did="wrote note", what=visit, version=row.version, sentences=changed)
    return row


def sign(*, who: User, visit: Visit, password: str, read: str) -> SignedNote:
    """Freeze the visit as it stands under the clinician's signature. `read` is the fingerprint of the record
    that the clinician had before the eyes: what is signed is what was read.

    Content and papers are made before the transaction (about two seconds), so that no lock is held
    meanwhile; inside it the visit is read once more and must be the same. Raises PermissionDenied,
    NotSigned (why, in plain words), Stale when anything in the visit was changed since it was read.
    """
    require(who, "sign")
    _refuse_if_signed(visit)
    check_password(who=who, password=password, at=visit)
    recorded = recorded_in(visit)
    if report.fingerprint(recorded) != read:
        raise Stale(visit)
    _refuse_if_stopped(queries.gaps_of(visit, recorded).stops)
    return _store(who, visit, _freeze(who, visit, recorded))


@dataclass(frozen=True)
class Frozen:
    """A visit made ready to be stored: its content (without and with the signature) and its papers."""

    record: dict[str, Any]
    signature: Signature
    content: dict[str, Any]
    sha256: str
    papers: dict[str, bytes]


def _freeze(who: User, visit: Visit, recorded: dict[str, Any]) -> Frozen:
    signature = Signature(
        name=str(who),
        title=who.title,
        registration=who.registration,
        meaning=TRAINEE if who.is_trainee else AUTHOR,
        at=timezone.now(),
        time_zone=visit.patient.practice.time_zone,
    )
    content = {**recorded, "signature": signature.as_json()}
    sha256 = report.fingerprint(content)
    papers = kept_papers.made(content, signature, sha256, waits=who.is_trainee)
    return Frozen(recorded, signature, content, sha256, papers)


@transaction.atomic
def _store(who: User, visit: Visit, frozen: Frozen) -> SignedNote:
    at = frozen.signature.at
    # One UPDATE decides between two signers, on SQLite and PostgreSQL alike.
    if not Visit.objects.filter(pk=visit.pk, signed_at=None).update(signed_at=at):
        raise AlreadySigned(queries.signed_note_of(visit))
    if recorded_in(visit) != frozen.record:
        raise Stale(visit)
    # Once more inside: needles may have been counted anew since.
    _refuse_if_stopped(stops_of(visit))
    note = SignedNote.objects.create(
        visit=visit,
        signed_by=who,
        signer_name=frozen.signature.name,
        signer_title=frozen.signature.title,
        signer_registration=frozen.signature.registration,
        meaning=frozen.signature.meaning,
        needs_cosign=frozen.signature.meaning == TRAINEE,
        signed_at=at,
        time_zone=frozen.signature.time_zone,
        content=frozen.content,
        content_sha256=frozen.sha256,
    )
    kept_papers.store(note, 0, frozen.papers)
    keep_cells((visit,))
    forget(who=who, key=draft_key(visit))
    record(who=who, did="signed", what=visit, note=note.pk, sha256=frozen.sha256)
    visit.signed_at = at
    return note


def _refuse_if_signed(visit: Visit) -> None:
    note = queries.signed_note_of(visit)
    if note:
        raise AlreadySigned(note)


def _refuse_if_stopped(stops: Sequence[str]) -> None:
    if stops:
        raise NotSigned(" ".join(stops))
