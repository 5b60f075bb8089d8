"""What the pages about the texts themselves may use."""

from dataclasses import dataclass, replace

from charting.consent import difference, texts
from charting.consent.difference import Paragraph
from charting.consent.texts import ConsentText
from charting.consent.wording import RIGHT, Wording, draft_key, wordings
from charting.consent.wording_forms import UseForm, WordingForm
from charting.drafts.models import Draft
from charting.staff.models import Practice, User
from charting.staff.rights import may


@dataclass(frozen=True)
class TextsPage:
    wordings: tuple[Wording, ...]
    may_word: bool


@dataclass(frozen=True)
class TextPage:
    """One text as it is signed now, its versions, and where the release words it otherwise."""

    wording: Wording
    allows: str
    differs: tuple[Paragraph, ...]
    may_word: bool
    form: UseForm


@dataclass(frozen=True)
class VersionPage:
    """One version to read; `changes` against the one before it, () for the first."""

    wording: Wording
    text: ConsentText
    changes: tuple[Paragraph, ...]

    @property
    def is_current(self) -> bool:
        return self.text.version == self.wording.text.version


@dataclass(frozen=True)
class EditPage:
    """A text being changed. `preview`: the words as typed, with `changes` against those that count."""

    wording: Wording
    form: WordingForm
    draft_key: str
    draft: Draft | None = None
    preview: ConsentText | None = None
    changes: tuple[Paragraph, ...] = ()
    clash: tuple[Paragraph, ...] = ()


def texts_page(user: User, practice: Practice) -> TextsPage:
    return TextsPage(wordings(practice), may(user, RIGHT))


def text_page(user: User, wording: Wording, form: UseForm | None = None) -> TextPage:
    form = form or UseForm(initial={"based_on": wording.text.version})
    allows = texts.procedures().get(wording.text.procedure)
    return TextPage(
        wording,
        allows.words if allows else "what is ticked on signing",
        _between(wording.release, wording.text) if wording.rows else (),
        may(user, RIGHT),
        form,
    )


def version_page(wording: Wording, number: int) -> VersionPage:
    text, before = wording.version(number), wording.before(number)
    return VersionPage(wording, text, _between(before, text) if before else ())


def edit_page(wording: Wording, form: WordingForm, draft: Draft | None = None) -> EditPage:
    return EditPage(wording, form, draft_key(wording.release.id), draft)


def preview_page(wording: Wording, form: WordingForm) -> EditPage:
    """The form is valid."""
    typed = _typed(wording, form)
    key = draft_key(wording.release.id)
    return EditPage(wording, form, key, preview=typed, changes=_between(wording.text, typed))


def clash_page(wording: Wording, form: WordingForm) -> EditPage:
    """Somebody changed the text meanwhile: what differs is shown, and saving again is then a decision."""
    again = WordingForm(
        initial={**{name: form[name].value() for name in form.fields}, "based_on": wording.text.version}
    )
    clash = _between(wording.text, _typed(wording, form))
    return EditPage(wording, again, draft_key(wording.release.id), clash=clash)


def _typed(wording: Wording, form: WordingForm) -> ConsentText:
    said = form.cleaned_data
    number = max(wording.text.version, wording.release.version) + 1
    about = {"title": said["title"], "for_what": said["for_what"], "parts": form.parts()}
    return replace(wording.text, version=number, **about)


def _between(before: ConsentText, after: ConsentText) -> tuple[Paragraph, ...]:
    return difference.changes(f"{before.title}\n\n{before.body}", f"{after.title}\n\n{after.body}")
