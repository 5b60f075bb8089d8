"""What the page to co-sign may use, and the one about trainees."""

from dataclasses import dataclass
from typing import Any

from charting.drafts.models import Draft
from charting.notes import queries
from charting.notes.cosign_queries import is_whole
from charting.notes.cosign_services import draft_key
from charting.notes.models import SignedNote
from charting.notes.pages import Figures, figures_of
from charting.report.papers import Added, Signature
from charting.staff.models import User
from charting.staff.queries import clinicians_beside


@dataclass(frozen=True)
class CosignPage:
    """The note exactly as it was signed. `is_whole`: its content still has the fingerprint of the signing."""

    content: dict[str, Any]
    figures: Figures
    signature: Signature
    sha256: str
    addenda: tuple[Added, ...]
    is_whole: bool
    draft_key: str
    draft: Draft | None


@dataclass(frozen=True)
class Learner:
    """A clinician, and whether a trainee."""

    id: int
    name: str
    title: str
    is_trainee: bool


def cosign_page(note: SignedNote, draft: Draft | None = None) -> CosignPage:
    return CosignPage(
        content=note.content,
        figures=figures_of(note.content),
        signature=queries.signature_of(note),
        sha256=note.content_sha256,
        addenda=queries.addenda_of(note),
        is_whole=is_whole(note),
        draft_key=draft_key(note),
        draft=draft,
    )


def clinicians(user: User) -> tuple[Learner, ...]:
    """Everybody in the practice who signs notes, by name."""
    return tuple(Learner(one.pk, str(one), one.title, one.is_trainee) for one in clinicians_beside(user))
