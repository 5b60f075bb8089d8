"""The places to treat, one card each: what was found there today, what was done last time, what can be done
now.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from django.urls import reverse
from django.utils.http import urlencode

from bodymaps.atlas import Atlas
from bodymaps.reasoning import felt
from charting.examination.models import MuscleFinding
from charting.examination.queries import as_felt
from charting.treatment import techniques, where
from charting.treatment.models import TreatmentEntry
from charting.treatment.techniques import Technique
from charting.treatment.told import told
from charting.treatment.where import Where
from charting.visits.models import Visit

# Results of an examination that put a muscle on the list; "nothing found" does not.
FOUND = (felt.ACTIVE, felt.LATENT, felt.TENDER_SPOT, felt.INCOMPLETE)


@dataclass(frozen=True)
class Chip:
    """A technique to tap. `count`: how often it stands on today's list for this place."""

    technique: Technique
    url: str
    piece: str
    is_open: bool
    count: int


@dataclass(frozen=True)
class Card:
    """`found`: what the hand found today; `before`: what was done at the last visit, one line each."""

    at: Where
    name: str
    found: tuple[str, ...]
    before: tuple[str, ...]
    chips: tuple[Chip, ...]
    is_open: bool

    @property
    def slug(self) -> str:
        """Fit for an id of the page."""
        return self.at.token.replace(".", "-").replace(":", "-")

    @property
    def side(self) -> str:
        return self.at.side

    @property
    def title(self) -> str:
        return f"{self.name}, {self.side}" if self.side else self.name


def cards_of(
    visit: Visit,
    known: Atlas,
    *,
    found: Sequence[MuscleFinding],
    entries: Sequence[TreatmentEntry],
    last: Sequence[TreatmentEntry],
    at: Where | None,
    technique: str,
) -> tuple[Card, ...]:
    """`at`: the place that was asked for, which comes first when it stands nowhere else; `technique` is open
    on it.
    """
    places = dict.fromkeys(
        [
            *(Where(row.muscle, row.side) for row in found if felt.verdict(as_felt(row)).result in FOUND),
            *(where.of(row).spot for row in last),
            *(where.of(row).spot for row in entries),
            Where(),
        ]
    )
    asked = at.spot if at and not where.wrong(at, known) else None
    order = list(places) if asked in places or asked is None else [asked, *places]
    return tuple(
        _card(visit, known, each, found, entries, last, technique if each == asked else "") for each in order
    )


def open_url(visit: Visit, at: Where, technique: str, *, like: int | None = None, piece: str = "") -> str:
    """Where the form of a technique on a place stands."""
    more = {"like": like, "piece": piece}
    asked = {"place": at.token, "technique": technique, **{name: said for name, said in more.items() if said}}
    return f"{reverse('treatment', args=[visit.pk])}?{urlencode(asked)}"


def _card(
    visit: Visit,
    known: Atlas,
    at: Where,
    found: Sequence[MuscleFinding],
    entries: Sequence[TreatmentEntry],
    last: Sequence[TreatmentEntry],
    technique: str,
) -> Card:
    return Card(
        at=at,
        name=where.name_of(at, known),
        found=tuple(found_words(found, at)),
        before=tuple(_said(row, known) for row in last if where.of(row).spot == at),
        chips=tuple(_chip(visit, at, each, entries, technique) for each in techniques.load().on(at.kind)),
        is_open=bool(technique),
    )


def _chip(
    visit: Visit, at: Where, technique: Technique, entries: Iterable[TreatmentEntry], chosen: str
) -> Chip:
    return Chip(
        technique=technique,
        url=f"{open_url(visit, at, technique.id)}#form",
        piece=open_url(visit, at, technique.id, piece="form"),
        is_open=technique.id == chosen,
        count=sum((row.technique, where.of(row).spot) == (technique.id, at) for row in entries),
    )


def found_words(found: Iterable[MuscleFinding], at: Where) -> Iterable[str]:
    """ "active trigger point, 3 of 3; pain 7 of 10 on pressing", with its place where a part was felt."""
    for row in found:
        one = as_felt(row)
        if (row.muscle, row.side) != (at.muscle, at.side) or not one.is_examined:
            continue
        site = f"{row.site.replace('_', ' ')}: " if row.site else ""
        pain = "" if row.pain is None else f"; pain {row.pain} of 10 on pressing"
        yield f"{site}{felt.verdict(one).words}{pain}"


def _said(row: TreatmentEntry, known: Atlas) -> str:
    said = told(row, known)
    return "; ".join(filter(None, (said.done, said.response)))
