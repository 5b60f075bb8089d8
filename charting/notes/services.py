"""Everything that writes to a note: keep its words, sign it once and for all, add to it afterwards."""

import hashlib
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from django.db import IntegrityError, transaction
from django.utils import timezone

from charting.audit.services import record
from charting.drafts.services import forget
from charting.notes import queries
from charting.notes.models import Addendum, NoteText, SignedNote, SignedPaper
from charting.notes.queries import recorded_in
from charting.report import content as report
from charting.report import pdf
from charting.report.papers import Added, Signature
from charting.staff.models import Paper, User
from charting.staff.rights import require
from charting.treatment.gates import stops_of
from charting.versioning import Stale, save_if_current
from charting.visits.models import Visit
from charting.visits.services import require_open


class NotSigned(Exception):
    """Nothing was signed or added; the text tells the clinician why."""


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
def save_text(*, who: User, visit: Visit, version: int, assessment: str, plan: str) -> NoteText:
    """Keep assessment and plan. Raises Stale when somebody saved since `version`, VisitSigned when signed."""
    require(who, "treat")
    require_open(visit)
    row, made = NoteText.objects.get_or_create(visit=visit, defaults={"assessment": assessment, "plan": plan})
    if not made:
        save_if_current(row, version=version, assessment=assessment, plan=plan)
    elif version:
        raise Stale(row)
    forget(who=who, key=draft_key(visit))
    record(who=who, did="wrote note", what=visit, version=row.version)
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
    _check_password(who, password, visit)
    recorded = recorded_in(visit)
    if report.fingerprint(recorded) != read:
        raise Stale(visit)
    _refuse_if_stopped(queries.gaps_of(visit, recorded).stops)
    return _store(who, visit, _freeze(who, visit, recorded))


def add_addendum(*, who: User, note: SignedNote, text: str, password: str) -> Addendum:
    """Add words after the original. New papers are stored beside the old ones, which stay as they are.
    The same words by the same person again are those added before: a second tap adds nothing.

    Raises PermissionDenied, NotSigned (wrong password, or somebody else added one at the same moment).
    """
    require(who, "sign")
    _check_password(who, password, note.visit)
    made_before = queries.addendum_just_so(note, who, text.strip())
    if made_before:
        return made_before
    before = queries.addenda_of(note)
    row = Addendum(
        note=note,
        number=len(before) + 1,
        author=who,
        author_name=str(who),
        author_title=who.title,
        text=text.strip(),
        written_at=timezone.now(),
    )
    papers = _papers(
        note.content, queries.signature_of(note), note.content_sha256, (*before, queries.as_added(row, note))
    )
    try:
        return _store_addendum(who, row, papers)
    except IntegrityError as problem:
        made_before = queries.addendum_just_so(note, who, row.text)
        if made_before:
            return made_before
        raise NotSigned("Somebody else added to this note just now. Read it, then try again.") from problem


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
        meaning="author",
        at=timezone.now(),
        time_zone=visit.patient.practice.time_zone,
    )
    content = {**recorded, "signature": signature.as_json()}
    sha256 = report.fingerprint(content)
    return Frozen(recorded, signature, content, sha256, _papers(content, signature, sha256, ()))


def _papers(
    content: dict[str, Any], signature: Signature, sha256: str, addenda: Sequence[Added]
) -> dict[str, bytes]:
    return {
        paper: pdf.render(content, paper=paper, signed=signature, sha256=sha256, addenda=addenda)
        for paper in Paper.values
    }


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
        signed_at=at,
        time_zone=frozen.signature.time_zone,
        content=frozen.content,
        content_sha256=frozen.sha256,
    )
    _store_papers(note, 0, frozen.papers)
    forget(who=who, key=draft_key(visit))
    record(who=who, did="signed", what=visit, note=note.pk, sha256=frozen.sha256)
    visit.signed_at = at
    return note


@transaction.atomic
def _store_addendum(who: User, row: Addendum, papers: dict[str, bytes]) -> Addendum:
    row.save(force_insert=True)
    _store_papers(row.note, row.number, papers)
    forget(who=who, key=draft_key(row.note.visit))
    record(who=who, did="added addendum", what=row.note.visit, number=row.number)
    return row


def _store_papers(note: SignedNote, addenda: int, papers: dict[str, bytes]) -> None:
    for paper, made in papers.items():
        sha256 = hashlib.sha256(made).hexdigest()
        SignedPaper.objects.create(note=note, addenda=addenda, paper=paper, pdf=made, sha256=sha256)


def _refuse_if_signed(visit: Visit) -> None:
    note = queries.signed_note_of(visit)
    if note:
        raise AlreadySigned(note)


def _refuse_if_stopped(stops: Sequence[str]) -> None:
    if stops:
        raise NotSigned(" ".join(stops))


def _check_password(who: User, password: str, visit: Visit) -> None:
    """Who signs must be who is signed in (the idea of 21 CFR 11.200). A wrong try stays on record."""
    if queries.is_locked_out(who):
        raise NotSigned("Too many wrong passwords. Wait a quarter of an hour, then try again.")
    if not who.check_password(password):
        with transaction.atomic():
            record(who=who, did=queries.WRONG_PASSWORD, what=visit)
        raise NotSigned("That is not your password. Nothing was signed.")
