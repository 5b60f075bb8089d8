"""Everything that writes to a letter: begin it, keep its words, discard it, sign it once and for all."""

import hashlib
from dataclasses import dataclass
from typing import Any

from django.db import transaction
from django.utils import timezone

from charting.audit.services import record
from charting.drafts.services import forget
from charting.episodes.models import Episode
from charting.letters import queries
from charting.letters.content import assemble, fingerprint
from charting.letters.editing import Typed
from charting.letters.gathered import gather
from charting.letters.models import Letter, LetterPaper, SignedLetter
from charting.letters.needs import needs_of
from charting.letters.sent_to import sent_to
from charting.notes.password import NotSigned, check_password
from charting.patients.models import Patient
from charting.report import pdf
from charting.report.papers import Signature
from charting.staff.models import Paper, User
from charting.staff.rights import require
from charting.versioning import Stale, save_if_current


class Closed(Exception):
    """The letter was signed or discarded meanwhile; the text says which."""


def draft_key(letter: Letter) -> str:
    return f"letter:{letter.pk}"


@transaction.atomic
def begin(*, who: User, episode: Episode, kind: str) -> Letter:
    """A letter about an episode, or the one of this kind that is being written already: two taps at once make
    one. Raises PermissionDenied.
    """
    require(who, "treat")
    # Whoever begins holds the row of the person.
    Patient.objects.select_for_update().get(pk=episode.patient_id)
    known = queries.open_letter(episode.pk, kind)
    if known:
        return known
    name, address = sent_to(episode, kind)
    letter = Letter.objects.create(
        patient=episode.patient, episode=episode, kind=kind, to_name=name, to_address=address, begun_by=who
    )
    record(who=who, did="began letter", what=letter, kind=kind)
    return letter


@transaction.atomic
def save(*, who: User, letter: Letter, typed: Typed) -> Letter:
    """Keep what was made of the sentences. Raises Stale when somebody saved since that version, Closed."""
    require(who, "treat")
    _require_open(letter)
    said = {"to_name": typed.to_name, "to_address": typed.to_address}
    save_if_current(letter, version=typed.version, edits=typed.edits.as_json(), **said)
    forget(who=who, key=draft_key(letter))
    record(who=who, did="wrote letter", what=letter, version=letter.version)
    return letter


@transaction.atomic
def discard(*, who: User, letter: Letter) -> None:
    """Take it off the list; its row stays. Raises Closed when it was signed."""
    require(who, "treat")
    _require_open(letter)
    now = timezone.now()
    if not Letter.objects.filter(pk=letter.pk, signed_at=None, discarded_at=None).update(discarded_at=now):
        raise Closed("This letter was signed or discarded meanwhile.")
    forget(who=who, key=draft_key(letter))
    record(who=who, did="discarded letter", what=letter)


def sign(*, who: User, letter: Letter, password: str, read: str) -> SignedLetter:
    """Freeze the letter as it stands. `read`: the fingerprint of what the clinician had before the eyes.

    Content and papers are made before the transaction, so that no lock is held meanwhile. Raises
    PermissionDenied, NotSigned (why, in plain words), Stale when record or words changed since it was read.
    """
    require(who, "sign")
    if who.is_trainee:
        raise NotSigned("A letter is signed by somebody who is no trainee. Your words are kept.")
    _refuse_closed(letter)
    check_password(who=who, password=password, at=letter)
    found = gather(who, letter.episode)
    content = assemble(found, letter)
    if fingerprint(content) != read:
        raise Stale(letter)
    stops = needs_of(found, content).stops
    if stops:
        raise NotSigned(" ".join(one.words for one in stops))
    return _store(who, letter, _freeze(who, letter, content))


@dataclass(frozen=True)
class Frozen:
    """A letter made ready to be stored: its content without and with the signature, and its papers."""

    record: dict[str, Any]
    signature: Signature
    content: dict[str, Any]
    sha256: str
    papers: dict[str, bytes]


def _freeze(who: User, letter: Letter, read: dict[str, Any]) -> Frozen:
    signature = Signature(
        name=str(who),
        title=who.title,
        registration=who.registration,
        meaning="author",
        at=timezone.now(),
        time_zone=letter.patient.practice.time_zone,
    )
    content = {**read, "signature": signature.as_json()}
    sha256 = fingerprint(content)
    papers = {
        paper: pdf.render_letter(content, paper=paper, signed=signature, sha256=sha256)
        for paper in Paper.values
    }
    return Frozen(read, signature, content, sha256, papers)


@transaction.atomic
def _store(who: User, letter: Letter, frozen: Frozen) -> SignedLetter:
    at = frozen.signature.at
    # One UPDATE decides between two signers, and between a signer and somebody who writes.
    still = Letter.objects.filter(pk=letter.pk, version=letter.version, signed_at=None, discarded_at=None)
    if not still.update(signed_at=at):
        _refuse_closed(Letter.objects.get(pk=letter.pk))
        raise Stale(letter)
    if assemble(gather(who, letter.episode), letter) != frozen.record:
        raise Stale(letter)
    signed = SignedLetter.objects.create(
        letter=letter,
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
    for paper, made in frozen.papers.items():
        LetterPaper.objects.create(
            signed=signed, paper=paper, pdf=made, sha256=hashlib.sha256(made).hexdigest()
        )
    forget(who=who, key=draft_key(letter))
    record(who=who, did="signed letter", what=letter, kind=letter.kind, sha256=frozen.sha256)
    letter.signed_at = at
    return signed


def _require_open(letter: Letter) -> None:
    now = Letter.objects.get(pk=letter.pk)
    if now.signed_at or now.discarded_at:
        raise Closed(f"This letter was {'signed' if now.signed_at else 'discarded'} meanwhile.")


def _refuse_closed(letter: Letter) -> None:
    if letter.signed_at:
        raise NotSigned("This letter was signed already.")
    if letter.discarded_at:
        raise NotSigned("This letter was discarded meanwhile.")
