"""Co-sign what a trainee signed; say who is a trainee."""

from django.core.exceptions import PermissionDenied
from django.db import IntegrityError, transaction
from django.utils import timezone

from charting.audit.services import record
from charting.drafts.services import forget
from charting.notes import kept_papers, queries
from charting.notes.cosign_queries import is_whole
from charting.notes.models import CoSignature, SignedNote
from charting.notes.password import NotSigned, check_password
from charting.staff.models import User
from charting.staff.rights import require

MEANING = "co-signer"


class AlreadyCosigned(NotSigned):
    def __init__(self, row: CoSignature | None) -> None:
        self.row = row
        by = f" by {row.signer_name}" if row else ""
        super().__init__(f"This note was co-signed already{by}. Yours was not added.")


class Changed(NotSigned):
    def __init__(self) -> None:
        super().__init__("Something was written into this note meanwhile. Read it again before you co-sign.")


def draft_key(note: SignedNote) -> str:
    return f"cosign:{note.pk}"


def cosign(*, who: User, note: SignedNote, read: str, entries: int, words: str, password: str) -> CoSignature:
    """Sign in addition what a trainee signed. `read` is the fingerprint of the content that the page showed,
    `entries` how many later entries stood on it. The content is held against its fingerprint once more.

    Raises PermissionDenied (no right to, or the own note), AlreadyCosigned, Changed, or NotSigned that says
    why in plain words.
    """
    require(who, "co-sign")
    if note.signed_by_id == who.pk:
        raise PermissionDenied("Nobody co-signs the own note.")
    if not note.needs_cosign:
        raise NotSigned("This note needs no co-signature.")
    if before := CoSignature.objects.filter(note=note).first():
        raise AlreadyCosigned(before)
    check_password(who=who, password=password, at=note.visit)
    if read != note.content_sha256 or not is_whole(note):
        raise NotSigned("The note on record does not match its fingerprint. Do not sign; tell the practice.")
    addenda = queries.addenda_of(note)
    if len(addenda) != entries:
        raise Changed
    row = _row(who, note, words)
    signed, cosigned = queries.signature_of(note), queries.as_cosigned(row, note)
    papers = kept_papers.made(note.content, signed, note.content_sha256, addenda, cosigned=cosigned)
    try:
        return _store(who, row, papers, entries)
    except IntegrityError as problem:
        raise AlreadyCosigned(CoSignature.objects.filter(note=note).first()) from problem


def _row(who: User, note: SignedNote, words: str) -> CoSignature:
    """Not stored."""
    return CoSignature(
        note=note,
        signed_by=who,
        signer_name=str(who),
        signer_title=who.title,
        signer_registration=who.registration,
        meaning=MEANING,
        words=words.strip(),
        signed_at=timezone.now(),
        content_sha256=note.content_sha256,
    )


@transaction.atomic
def _store(who: User, row: CoSignature, papers: dict[str, bytes], entries: int) -> CoSignature:
    # One write at a time: what was printed must be what stands, with every later entry.
    SignedNote.objects.select_for_update().get(pk=row.note_id)
    row.save(force_insert=True)
    if row.note.addenda.count() != entries:
        raise Changed
    kept_papers.store(row.note, entries, papers, cosigned=True)
    forget(who=who, key=draft_key(row.note))
    record(who=who, did="co-signed", what=row.note.visit, note=row.note_id, sha256=row.content_sha256)
    return row


@transaction.atomic
def mark_trainee(*, who: User, user: User, is_trainee: bool) -> User:
    """Say that somebody is a trainee, or no longer. Signed notes keep waiting for their co-signature.

    Raises PermissionDenied for who may not, for somebody of another practice, or who signs no notes.
    """
    require(who, "grant rights")
    if user.practice_id != who.practice_id or user.role != User.Role.CLINICIAN:
        raise PermissionDenied("Only a clinician of the own practice can be a trainee.")
    if user.is_trainee != is_trainee:
        User.objects.filter(pk=user.pk).update(is_trainee=is_trainee)
        user.is_trainee = is_trainee
        record(who=who, did="marked trainee" if is_trainee else "unmarked trainee", what=user)
    return user
