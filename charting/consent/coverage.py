"""Whether what a person agreed to covers what is to be done: plain data over consents already read."""

import uuid
import zoneinfo
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import datetime

from bodymaps.reasoning import consent_areas
from charting.consent import texts
from charting.consent.models import Consent, ConsentConfirmed, ConsentWithdrawn


@dataclass(frozen=True)
class Standing:
    """One consent of a person, with what became of it."""

    consent: Consent
    withdrawn: ConsentWithdrawn | None = None
    confirmations: tuple[ConsentConfirmed, ...] = ()

    @property
    def procedures(self) -> tuple[str, ...]:
        """What it allows. A row from before this was kept says so by its text."""
        kept = tuple(self.consent.procedure.split())
        release = texts.load().get(self.consent.text_id)
        return kept or ((release.procedure,) if release else ())

    @property
    def procedure(self) -> str:
        return self.procedures[0] if self.procedures else ""

    @property
    def areas(self) -> tuple[str, ...]:
        return tuple(self.consent.areas)

    @property
    def areas_words(self) -> str:
        """ "neck, right shoulder"; "" when it names none."""
        return ", ".join(consent_areas.words_of(key) for key in self.areas)

    @property
    def sensitive(self) -> str:
        """The sensitive area it is about (its id, without a side), or ""."""
        found = [consent_areas.area_of(key) for key in self.areas]
        return next((area.id for area in found if area.sensitive), "")

    @property
    def withdrawn_at(self) -> datetime | None:
        return self.withdrawn.withdrawn_at if self.withdrawn else None

    @property
    def confirmed_in(self) -> tuple[uuid.UUID, ...]:
        """The visits in which it was confirmed by word of mouth."""
        return tuple(row.visit_id for row in self.confirmations)

    @property
    def is_of_area(self) -> bool:
        """Whether it counts only for the areas it names: so does every consent that could name one."""
        kept = self.consent.procedure.split()
        return bool(self.areas) or any(texts.procedures()[each].by_area for each in kept)

    def names(self, area: str) -> bool:
        return area in self.areas if self.is_of_area else not is_sensitive(area)

    def is_taken_back(self, at: datetime) -> bool:
        return self.withdrawn_at is not None and self.withdrawn_at <= at

    def was_said_in(self, visit_id: uuid.UUID, at: datetime) -> bool:
        """Signed in that visit, or confirmed in it by word of mouth, before `at`."""
        if self.consent.visit_id == visit_id:
            return True
        return any(row.visit_id == visit_id and row.confirmed_at < at for row in self.confirmations)


@dataclass(frozen=True)
class Coverage:
    """`why` says what to mend, "" when it covers. `consent`: the one that covers, or comes nearest to it."""

    consent: Consent | None
    why: str = ""

    @property
    def ok(self) -> bool:
        return not self.why


@dataclass(frozen=True)
class Asked:
    """What is to be done, where, in which visit and when; `zone` is the clock that words go by."""

    visit_id: uuid.UUID
    procedure: str
    area: str
    at: datetime
    zone: zoneinfo.ZoneInfo


def is_sensitive(key: str) -> bool:
    return consent_areas.area_of(key).sensitive


def judge(consents: Sequence[Standing], asked: Asked) -> Coverage:
    """The procedure must be agreed to for the area; a sensitive area needs its own text and the procedure's.

    Raises ValueError for a procedure or an area that nobody knows.
    """
    if asked.procedure not in texts.procedures():
        raise ValueError(f"no such procedure: {asked.procedure!r}; known are {', '.join(texts.procedures())}")
    area, words = consent_areas.area_of(asked.area), texts.procedures()[asked.procedure].words
    of_it = [each for each in consents if asked.procedure in each.procedures]
    plain = [each for each in of_it if not each.sensitive]
    if not area.sensitive:
        return _first(plain, f"Consent to {words}", asked, lambda each: each.names(asked.area))
    general = _first(plain, f"Consent to {words}", asked, lambda each: True)
    if not general.ok:
        return general
    own = [each for each in of_it if each.sensitive == area.id]
    what = f"The consent of its own for the {consent_areas.words_of(asked.area)} ({words})"
    return _first(own, what, asked, lambda each: each.names(asked.area))


def _first(
    consents: Sequence[Standing], what: str, asked: Asked, names_area: Callable[[Standing], bool]
) -> Coverage:
    """The newest that passes every gate, or the words of the first gate that none passes."""
    gates: tuple[tuple[Callable[[Standing], bool], Callable[[Standing], str]], ...] = (
        (
            lambda each: each.consent.signed_at < asked.at,
            lambda each: (
                f"{what} was signed only on {_when(each.consent.signed_at, asked)}; it has to come first."
            ),
        ),
        (
            lambda each: not each.is_taken_back(asked.at),
            lambda each: (
                f"{what} was withdrawn on {_when(each.withdrawn_at, asked)}. Nothing more is done under it."
            ),
        ),
        (names_area, lambda each: _not_named(each, what, asked)),
        (
            lambda each: each.was_said_in(asked.visit_id, asked.at),
            lambda each: (
                f"{what} of {_when(each.consent.signed_at, asked)} is not confirmed in this visit. "
                "Confirm it by word of mouth on the page of consents, or have it signed again."
            ),
        ),
    )
    left = sorted(consents, key=lambda each: each.consent.signed_at, reverse=True)
    if not left:
        return Coverage(None, f"{what} is not signed. Have it read and signed on the page of consents.")
    for passes, words in gates:
        kept = [each for each in left if passes(each)]
        if not kept:
            return Coverage(left[0].consent, words(left[0]))
        left = kept
    return Coverage(left[0].consent)


def _not_named(each: Standing, what: str, asked: Asked) -> str:
    named = f"it names: {each.areas_words}" if each.areas else "it names no area"
    place = consent_areas.words_of(asked.area)
    return f"{what} does not name the {place} ({named}). Have it signed again with this area."


def _when(at: datetime | None, asked: Asked) -> str:
    return f"{at.astimezone(asked.zone):%-d %B %Y, %H:%M}" if at else ""
