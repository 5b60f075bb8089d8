"""What stays with a person: which facts there are, which confirmation counts, when it is asked again.

The rules are read from standing.toml and checked against the catalogue on load.
"""

import tomllib
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime, timedelta
from functools import cache
from pathlib import Path
from typing import Any

from bodymaps.reasoning import conditions, items
from bodymaps.reasoning.case import Case, Value
from bodymaps.reasoning.conditions import Facts
from bodymaps.reasoning.drawn import Drawn
from bodymaps.reasoning.items import Item
from charting.history import merged
from charting.history.models import StandingFact

FILE = Path(__file__).parent / "standing.toml"
# A row with this value takes back what the same visit confirmed: asked by mistake, not asked at all.
TAKEN_BACK = ""


class StandingError(Exception):
    """The data file is wrong; the text names the entry and what to mend."""


@dataclass(frozen=True)
class Subject:
    """One fact that can stand: the question (yes, no, not sure), which one it is, and how it is said."""

    item: Item
    which: Item
    words: str
    then: str
    topic: str


@dataclass(frozen=True)
class Rules:
    confirm_again_after: timedelta
    of_age: int
    subjects: tuple[Subject, ...]


@dataclass(frozen=True)
class Fact:
    """What counts of one subject: "yes", "no" or "unsure", and which."""

    subject: Subject
    value: str
    which: Value | None
    confirmed_at: datetime
    visit_id: Any
    # In words, what another record of the person said, where two were merged and disagree.
    against: tuple[str, ...] = ()
    is_doubted: bool = False

    @property
    def words(self) -> str:
        """ "yes, warfarin" """
        return _in_words(self.subject, self.value, self.which)

    def is_old(self, now: datetime) -> bool:
        """Whether it is to be confirmed again."""
        is_past = now - self.confirmed_at > rules().confirm_again_after
        return is_past or bool(self.against) or self.is_doubted


def _in_words(subject: Subject, value: str, which: Value | None) -> str:
    said = subject.item.words_for(value)
    return said if which is None else f"{said}, {subject.which.words_for(which)}"


@cache
def rules() -> Rules:
    return read(tomllib.loads(FILE.read_text(encoding="utf-8")))


def read(data: Mapping[str, Any]) -> Rules:
    """Check and freeze decoded data. Raises StandingError with the entry and the reason."""
    for name in ("confirm_again_after_days", "of_age"):
        if not isinstance(data.get(name), int) or data[name] < 1:
            raise StandingError(f"{name} must be a whole number above 0")
    chips = data.get("chips", {})
    subjects = tuple(_subject(item, chips) for item in standing_items() if item.type == "yes_no")
    if unknown := set(chips) - {one.item.key for one in subjects}:
        raise StandingError(f"chips: no such item: {', '.join(sorted(unknown))}")
    return Rules(timedelta(days=data["confirm_again_after_days"]), data["of_age"], subjects)


def _subject(item: Item, chips: Mapping[str, Any]) -> Subject:
    said = chips.get(item.key)
    which = [one for one in standing_items() if one.only_if and one.only_if.get("item") == item.key]
    if len(which) != 1:
        raise StandingError(f"{item.key}: one item must ask which")
    if not isinstance(said, list) or len(said) != 3 or "{which}" not in said[1]:
        raise StandingError(f"chips.{item.key}: needs words, what follows with {{which}} in it, topic")
    return Subject(item, which[0], *said)


def standing_items() -> tuple[Item, ...]:
    return tuple(item for group in items.history().on_page("standing") for item in group.items)


def applies(item: Item, *, age: int | None, sex: str) -> bool:
    """Whether it is to be asked of a person of this age and sex, whatever else is answered."""
    if not item.only_if:
        return True
    condition = conditions.read(item.only_if)
    return bool(condition.keys()) or condition.holds(Facts(Case(age=age, sex=sex), Drawn()))


def counting(rows: Iterable[StandingFact]) -> dict[str, StandingFact]:
    """The confirmation that counts, by key, out of rows in the order they were made.

    The last of a key counts; one taken back makes way for the visit before. Where two records of the person
    were merged and disagree, the graver counts until it is confirmed anew. Which one it is counts only from
    the same visit as the fact itself: the week of an earlier pregnancy says nothing about this one.
    """
    kept: dict[str, list[StandingFact]] = {}
    for row in rows:
        known = kept.setdefault(row.key, [])
        if row.value == TAKEN_BACK:
            known[:] = [each for each in known if each.visit_id != row.visit_id]
        else:
            known.append(row)
    last = {key: known[-1] for key, known in kept.items() if known}
    for subject in rules().subjects:
        _settle(subject, kept, last)
    return last


def _settle(subject: Subject, kept: Mapping[str, list[StandingFact]], last: dict[str, StandingFact]) -> None:
    fact, which = subject.item.key, subject.which.key
    if differing := merged.differing(kept.get(fact, []), kept.get(which, [])):
        last[fact] = differing[0]
        last[fact].against = tuple(
            _in_words(subject, str(row.value), merged.which_of(row, kept.get(which, [])))
            for row in differing[1:]
        )
    named = merged.row_beside(last[fact], kept.get(which, [])) if fact in last else None
    if named:
        last[which] = named
    else:
        last.pop(which, None)


def facts_in(last: Mapping[str, StandingFact]) -> tuple[Fact, ...]:
    """The facts among the rows that count, in the order of the catalogue."""
    return tuple(
        Fact(
            subject,
            str(row.value),
            _which(subject, row, last),
            row.confirmed_at,
            row.visit_id,
            row.against,
            row.is_doubted,
        )
        for subject in rules().subjects
        if (row := last.get(subject.item.key))
    )


def _which(subject: Subject, fact: StandingFact, last: Mapping[str, StandingFact]) -> Value | None:
    row = last.get(subject.which.key)
    return row.value if row and fact.value != "no" else None
