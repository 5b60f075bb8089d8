"""What the pages of letters may use."""

from dataclasses import dataclass
from typing import Any
from zoneinfo import ZoneInfo

from charting.drafts.models import Draft
from charting.drafts.queries import as_form_data, draft_of
from charting.episodes.models import Episode
from charting.episodes.queries import episodes_of
from charting.letters import content, editing, queries, services
from charting.letters.editing import Edits, Typed
from charting.letters.gathered import Gathered, gather
from charting.letters.kinds import MEASURES, SECTIONS, TREATMENTS, Section, assembled
from charting.letters.models import Letter, SignedLetter
from charting.letters.needs import Needs, needs_of
from charting.patients.models import Patient
from charting.report import pdf
from charting.report.models import IssuedPaper
from charting.report.papers import Signature, day
from charting.report.sentences import Shown
from charting.staff.models import User
from charting.staff.rights import may
from charting.visits.forms import called

KINDS = tuple(Letter.Kind)


@dataclass(frozen=True)
class Listed:
    """One letter of the list; `about`: the episode's name."""

    letter: Letter
    about: str


@dataclass(frozen=True)
class OfEpisode:
    """An episode to write about; `has_signed`: without a signed visit there is nothing to tell."""

    episode: Episode
    title: str
    has_signed: bool


@dataclass(frozen=True)
class LettersPage:
    patient: Patient
    open: tuple[Listed, ...]
    signed: tuple[Listed, ...]
    episodes: tuple[OfEpisode, ...]
    issued: tuple[IssuedPaper, ...]
    kinds: tuple[Letter.Kind, ...]
    may_write: bool


@dataclass(frozen=True)
class Line:
    """One sentence of the form. `words`: what stands in the field; `stood`: what the record said when it was
    changed, `now`: what it says; `theirs`: the same where that is something else. `wrong`: what to mend.
    """

    key: str
    number: int
    words: str
    stood: str
    now: str
    taken_out: bool
    is_old: bool
    is_gone: bool
    theirs: str
    wrong: str


@dataclass(frozen=True)
class Part:
    """One section of the form."""

    section: Section
    lines: tuple[Line, ...]
    own: str
    wrong: str
    measures: tuple[dict[str, Any], ...] = ()
    treatments: tuple[dict[str, Any], ...] = ()


@dataclass(frozen=True)
class LetterPage:
    """A letter while it is written. `other`: as somebody else saved it meanwhile."""

    letter: Letter
    title: str
    about: str
    parts: tuple[Part, ...]
    typed: Typed
    needs: Needs
    content: dict[str, Any]
    may_write: bool
    may_sign: bool
    draft_key: str
    draft: Draft | None
    other: tuple[str, ...] = ()


@dataclass(frozen=True)
class SignPage:
    letter: Letter
    content: dict[str, Any]
    needs: Needs
    may_sign: bool
    is_trainee: bool
    pages: int
    usual: int


@dataclass(frozen=True)
class SignedPage:
    letter: Letter
    content: dict[str, Any]
    signature: Signature
    sha256: str
    dated: str


def letters_page(user: User, patient: Patient) -> LettersPage:
    """Some six queries, however many letters."""
    episodes = episodes_of(patient)
    names = {one.pk: called(one, patient) for one in episodes}
    signed = set(
        Episode.objects.filter(patient=patient, visits__signed_at__isnull=False).values_list("pk", flat=True)
    )
    every = [
        Listed(one, names.get(one.episode_id) or called(one.episode, patient))
        for one in queries.letters_of(patient)
    ]
    return LettersPage(
        patient=patient,
        open=tuple(one for one in every if not one.letter.signed_at),
        signed=tuple(one for one in every if one.letter.signed_at),
        episodes=tuple(OfEpisode(one, names[one.pk], one.pk in signed) for one in episodes),
        issued=tuple(queries.issued_of(patient)),
        kinds=KINDS,
        may_write=may(user, "treat"),
    )


def letter_page(
    user: User, letter: Letter, typed: Typed | None = None, *, other: Letter | None = None
) -> LetterPage:
    """`typed`: what was sent and could not be kept. A draft stands in its place on opening."""
    draft = None if typed else draft_of(user, services.draft_key(letter))
    held = typed or _held(letter, draft)
    found = gather(user, letter.episode)
    whole = content.assemble_with(found, letter, held.edits, held.to_name, held.to_address)
    parts = _parts(found, letter, held)
    old = sum(line.is_old for part in parts for line in part.lines)
    return LetterPage(
        letter=letter,
        title=letter.get_kind_display(),
        about=called(letter.episode, letter.patient),
        parts=parts,
        typed=held,
        needs=needs_of(found, whole, old=old),
        content=whole,
        may_write=may(user, "treat"),
        may_sign=may(user, "sign"),
        draft_key=services.draft_key(letter),
        draft=draft,
        other=_others(other, found) if other else (),
    )


def _held(letter: Letter, draft: Draft | None) -> Typed:
    if draft is None:
        return Typed(letter.version, letter.to_name, letter.to_address, Edits.of(letter.edits))
    typed = editing.read({name: str(said) for name, said in as_form_data(draft).items()}, letter.kind)
    return Typed(letter.version, typed.to_name, typed.to_address, typed.edits, typed.wrong)


def _parts(found: Gathered, letter: Letter, held: Typed) -> tuple[Part, ...]:
    said = editing.shown(assembled(letter.kind, found), held.edits)
    every = content.assemble_with(found, letter, Edits(), "", "")
    return tuple(_part(section, said, held, every) for section in SECTIONS[letter.kind])


def _part(section: Section, said: tuple[Shown, ...], held: Typed, every: dict[str, Any]) -> Part:
    mine = [one for one in said if one.section == section.id]
    rows = [{**one, "is_out": one["key"] in held.edits.rows} for one in every["measures"]]
    return Part(
        section=section,
        lines=tuple(_line(one, number, held) for number, one in enumerate(mine, 1)),
        own=held.edits.own.get(section.id, ""),
        wrong=held.wrong.get(f"own:{section.id}", ""),
        measures=tuple(rows) if section.table == MEASURES else (),
        treatments=tuple(every["treatments"]) if section.table == TREATMENTS else (),
    )


def _line(one: Shown, number: int, held: Typed) -> Line:
    edit = held.edits.sentences.get(one.key)
    words = edit.words if edit and edit.words else one.words
    return Line(
        key=one.key,
        number=number,
        words=words,
        stood=edit.stood if edit and (one.is_old or one.is_gone) else one.stood,
        now=one.stood,
        taken_out=one.taken_out,
        is_old=one.is_old,
        is_gone=one.is_gone,
        theirs=one.stood if words != one.stood else "",
        wrong=held.wrong.get(f"words:{one.key}", ""),
    )


def _others(other: Letter, found: Gathered) -> tuple[str, ...]:
    """The letter as it was saved meanwhile, in paragraphs."""
    whole = content.assemble(found, other)
    return tuple(
        " ".join([*(one["words"] for one in section["sentences"]), section["own"]]).strip()
        for section in whole["sections"]
        if section["sentences"] or section["own"]
    )


def sign_page(user: User, letter: Letter) -> SignPage:
    """Lays the paper out once, to tell how many pages it takes: half a second."""
    found = gather(user, letter.episode)
    whole = content.assemble(found, letter)
    said = editing.shown(assembled(letter.kind, found), Edits.of(letter.edits))
    return SignPage(
        letter=letter,
        content=whole,
        needs=needs_of(found, whole, old=sum(one.is_old for one in said)),
        may_sign=may(user, "sign"),
        is_trainee=user.is_trainee,
        pages=pdf.pages_of_letter(whole, paper=letter.patient.practice.paper),
        usual=2 if letter.kind == Letter.Kind.PROGRESS else 1,
    )


def signed_page(letter: Letter, signed: SignedLetter) -> SignedPage:
    signature = queries.signature_of(signed)
    dated = day(signature.at.astimezone(ZoneInfo(signature.time_zone)))
    return SignedPage(letter, signed.content, signature, signed.content_sha256, dated)
