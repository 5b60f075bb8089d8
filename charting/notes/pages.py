"""What the pages of a note may use."""

from dataclasses import dataclass
from typing import Any

from django.templatetags.static import static

from bodymaps import figure
from charting.drafts.models import Draft
from charting.notes import queries, services
from charting.notes.cosign_queries import Cosign, cosign_of
from charting.notes.forms import NoteForm
from charting.notes.later_pages import Later, later_of
from charting.notes.models import NoteText, SignedNote
from charting.notes.queries import Gaps
from charting.notes.sentences_pages import SectionCard, Typed, cards
from charting.notes.sentences_queries import blocks_of, rows_of
from charting.report.papers import Added, Signature
from charting.report.soap import SECTIONS
from charting.staff.models import User
from charting.staff.rights import may
from charting.visits.models import Visit
from charting.visits.queries import may_write

Figures = tuple[tuple[dict[str, Any], str], ...]


@dataclass(frozen=True)
class OpenNote:
    """The note while it is written: everything recorded so far, the words, what is missing."""

    content: dict[str, Any]
    figures: Figures
    gaps: Gaps
    may_write: bool
    may_sign: bool
    draft_key: str
    draft: Draft | None = None
    # The words somebody else saved meanwhile, when that is why this page is shown again.
    other: NoteText | None = None
    # One for each heading, where the words are written.
    cards: tuple[SectionCard, ...] = ()

    @property
    def other_words(self) -> tuple[tuple[str, str], ...]:
        """(heading, words) that somebody else saved."""
        return tuple((title, getattr(self.other, name, "")) for name, title in SECTIONS.items())


@dataclass(frozen=True)
class SignedPage:
    """The note as it was signed, from the frozen content alone."""

    content: dict[str, Any]
    figures: Figures
    signature: Signature
    sha256: str
    addenda: tuple[Added, ...]
    later: Later
    cosign: Cosign
    may_add: bool
    draft_key: str
    draft: Draft | None


def open_note(
    visit: Visit,
    user: User,
    *,
    form: NoteForm | None = None,
    typed: Typed | None = None,
    draft: Draft | None = None,
    other: NoteText | None = None,
) -> OpenNote:
    """`form` and `typed`: what stands in the fields; without a form the note is read, not written."""
    rows, content = rows_of(visit), queries.recorded_in(visit)
    writes = form is not None and may_write(user, visit)
    return OpenNote(
        content=content,
        figures=figures_of(content),
        gaps=queries.gaps_of(visit, content),
        may_write=writes,
        may_sign=may(user, "sign"),
        draft_key=services.draft_key(visit),
        draft=draft,
        other=other,
        cards=cards(content, form, rows, blocks_of(user), typed or Typed.of()) if form and writes else (),
    )


def signed_page(note: SignedNote, user: User, *, draft: Draft | None = None) -> SignedPage:
    return SignedPage(
        content=note.content,
        figures=figures_of(note.content),
        signature=queries.signature_of(note),
        sha256=note.content_sha256,
        addenda=queries.addenda_of(note),
        later=later_of(note),
        cosign=cosign_of(note, user),
        may_add=may(user, "sign"),
        draft_key=services.draft_key(note.visit),
        draft=draft,
    )


def figures_of(content: dict[str, Any]) -> Figures:
    """Each view with the address of its relief; without one when the content is of another figure."""
    same_figure = content["versions"]["figure"] == figure.load().version
    return tuple(
        (view, static(f"figure/{view['relief']}") if same_figure else "")
        for view in content["drawing"]["views"]
    )
