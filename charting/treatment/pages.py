"""What the page of treatment may use."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime

from django.urls import reverse

from bodymaps.atlas import SIDES, Atlas
from bodymaps.reasoning import consent_areas
from bodymaps.words import sentence_case
from charting.atlas import names
from charting.drafts.models import Draft
from charting.drafts.queries import as_form_data
from charting.examination.models import MuscleFinding
from charting.flags.queries import FlagState
from charting.treatment import counts, forms, techniques, where
from charting.treatment.cards import Card, cards_of, open_url
from charting.treatment.counts import Needles
from charting.treatment.models import TreatmentEntry
from charting.treatment.opened import OpenForm
from charting.treatment.queries import minutes_in
from charting.treatment.told import Told, told
from charting.treatment.where import Where
from charting.visits.models import Visit

MOST_FOUND = 8


@dataclass(frozen=True)
class EntryShown:
    """One entry of today's list. `other`: where the form for the other side stands, "" without sides."""

    row: TreatmentEntry
    told: Told
    number: int
    is_last: bool
    other: str

    @property
    def other_side(self) -> str:
        return where.OTHER_SIDE.get(self.row.side, "")


@dataclass(frozen=True)
class Total:
    label: str
    minutes: int


@dataclass(frozen=True)
class DoneList:
    """What stands on record of the visit. `totals`: minutes of each timed technique."""

    entries: tuple[EntryShown, ...]
    totals: tuple[Total, ...]
    needles: Needles

    @property
    def minutes(self) -> int:
        return sum(each.minutes for each in self.totals)

    @property
    def without_minutes(self) -> int:
        return sum(each.told.minutes is None for each in self.entries)

    def _shown(self, rows: Iterable[TreatmentEntry]) -> tuple[EntryShown, ...]:
        ids = {row.pk for row in rows}
        return tuple(each for each in self.entries if each.row.pk in ids)

    @property
    def to_count(self) -> tuple[EntryShown, ...]:
        return self._shown(self.needles.to_count)

    @property
    def unequal(self) -> tuple[EntryShown, ...]:
        return self._shown(self.needles.unequal)


@dataclass(frozen=True)
class LastLine:
    """`is_done`: it stands on today's list already; with needles its form is at `url`."""

    id: int
    words: str
    is_done: bool
    has_needles: bool
    url: str
    is_ticked: bool


@dataclass(frozen=True)
class LastList:
    when: datetime
    lines: tuple[LastLine, ...]

    @property
    def can_repeat(self) -> bool:
        return any(not line.is_done and not line.has_needles for line in self.lines)


@dataclass(frozen=True)
class Typing:
    """A form that was begun and not saved."""

    title: str
    url: str
    saved_at: datetime


@dataclass(frozen=True)
class Pick:
    """Something to put on the page: `url` leads to its card."""

    name: str
    url: str


@dataclass(frozen=True)
class FoundMuscle:
    name: str
    sides: tuple[Pick, ...]


@dataclass(frozen=True)
class TreatmentPage:
    """`form` is the one that is open, on a card or for an entry of the list. `lung`: "needed" or "given", of
    the advice about late symptoms; `differ`: "open" or "recorded", of needles that differ; both "" without.
    """

    cards: tuple[Card, ...]
    form: OpenForm | None
    done: DoneList
    last: LastList | None
    typing: tuple[Typing, ...]
    sought: str
    found: tuple[FoundMuscle, ...]
    areas: tuple[tuple[str, str], ...]
    danger: FlagState
    lung: str = ""
    differ: str = ""


def treatment_page(
    visit: Visit,
    known: Atlas,
    *,
    found: Sequence[MuscleFinding],
    entries: Sequence[TreatmentEntry],
    last: Sequence[TreatmentEntry],
    drafts: Mapping[str, Draft],
    danger: FlagState,
    form: OpenForm | None = None,
    at: Where | None = None,
    sought: str = "",
    ticked: Iterable[int] = (),
    lung: str = "",
    differ: str = "",
) -> TreatmentPage:
    """For who may record. `at`: the place whose card is asked for."""
    opened = form.typed if form and form.entry is None else None
    return TreatmentPage(
        cards=cards_of(
            visit,
            known,
            found=found,
            entries=entries,
            last=last,
            at=opened.at if opened else at,
            technique=opened.technique if opened else "",
        ),
        form=form,
        done=done_list(visit, entries, known),
        last=_last_list(visit, entries, last, known, set(ticked)),
        typing=tuple(_typing(visit, drafts, known, form)),
        sought=sought,
        found=found_by(visit, sought, known),
        areas=areas(),
        danger=danger,
        lung=lung,
        differ=differ,
    )


def done_list(visit: Visit, entries: Sequence[TreatmentEntry], known: Atlas) -> DoneList:
    shown = tuple(
        EntryShown(row, told(row, known), number, number == len(entries), _other(visit, row))
        for number, row in enumerate(entries, 1)
    )
    spent = minutes_in(entries)
    totals = tuple(Total(techniques.label_of(name), minutes) for name, minutes in spent.items())
    return DoneList(shown, totals, counts.needles_in(entries))


def found_by(visit: Visit, text: str, known: Atlas) -> tuple[FoundMuscle, ...]:
    """The muscles that a name finds, each with its sides."""
    if not text.strip():
        return ()
    named = [each for each in names.found(known, text) if each.kind.slug == "muscle"]
    return tuple(
        FoundMuscle(
            each.name,
            tuple(
                Pick(side.capitalize(), card_url(visit, Where(muscle=each.id, side=side))) for side in SIDES
            ),
        )
        for each in named[:MOST_FOUND]
    )


def areas() -> tuple[tuple[str, str], ...]:
    """(token of the place, words) of every area that a technique can be done to."""
    every = consent_areas.keys()
    places = [(Where(area=key.partition(" ")[0], side=key.partition(" ")[2]), key) for key in every]
    return tuple((at.token, sentence_case(consent_areas.words_of(key))) for at, key in places)


def card_url(visit: Visit, at: Where) -> str:
    return f"{reverse('treatment', args=[visit.pk])}?place={at.token}#card-{_slug(at)}"


def _slug(at: Where) -> str:
    return at.spot.token.replace(".", "-").replace(":", "-")


def _other(visit: Visit, row: TreatmentEntry) -> str:
    other = where.of(row).other_side
    return f"{open_url(visit, other, row.technique, like=row.pk)}#form" if other else ""


def _last_list(
    visit: Visit,
    entries: Sequence[TreatmentEntry],
    last: Sequence[TreatmentEntry],
    known: Atlas,
    ticked: set[int],
) -> LastList | None:
    if not last:
        return None
    there = {(row.technique, where.of(row)) for row in entries}
    lines = tuple(
        LastLine(
            id=row.pk,
            words=f"{told(row, known).where}: {told(row, known).doing}",
            is_done=(row.technique, where.of(row)) in there,
            has_needles=bool(row.needles),
            url=f"{open_url(visit, where.of(row), row.technique, like=row.pk)}#form",
            is_ticked=row.pk in ticked,
        )
        for row in last
    )
    return LastList(last[0].visit.started_at, lines)


def _typing(
    visit: Visit, drafts: Mapping[str, Draft], known: Atlas, form: OpenForm | None
) -> Iterable[Typing]:
    """Forms of new entries that were begun, without the one that is open."""
    for key, draft in drafts.items():
        typed = forms.read(as_form_data(draft))
        if (form and form.draft_key == key) or techniques.load().get(typed.technique) is None:
            continue
        title = f"{techniques.label_of(typed.technique)}: {where.words_of(typed.at, known)}"
        url = open_url(visit, typed.at.spot, typed.technique)
        yield Typing(title, f"{url}#form", draft.saved_at)
