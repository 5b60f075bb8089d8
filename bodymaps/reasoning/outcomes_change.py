"""What a change of a score means beside every published figure: more than measurement error, and large enough
to matter.

Each rule is judged by itself, in points and in per cent, and counts as reached at its very size. A change is
called real only beyond every detectable change that fits the part of the body, as with ranges of joints
(bodymaps.reasoning.range_change); where none was published for that part, those of other parts are used and
said so. With an important change that is smaller than the detectable one, a change can seem to matter and
still lie inside the error: then both are said.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass, replace
from typing import NamedTuple

from bodymaps import words as plain
from bodymaps.reasoning.outcome_instruments import (
    ACTIVITIES,
    CHOICE,
    DETECTABLE,
    HIGHER,
    IMPORTANT,
    ONE,
    PERCENT,
    POINTS,
    Instrument,
    Rule,
)
from bodymaps.reasoning.outcomes_score import (
    Answers,
    Line,
    Score,
    activities_in,
    instrument_of,
    is_better,
    score,
)
from bodymaps.reasoning.outcomes_words import difference, level_of, size_of
from bodymaps.reasoning.range_change import BEYOND, NO_FIGURE, SAME, UNSURE, WITHIN

BETTER, WORSE, NO_CHANGE = "better", "worse", "same"
MEANING = {
    WITHIN: "Within measurement error",
    UNSURE: "May be measurement error",
    BEYOND: "More than measurement error",
}


@dataclass(frozen=True)
class Judged:
    """One rule held against a change. `met` is None where it cannot be said: inside a printed span, or in
    per cent of a first score of 0. `fits`: whether it was found for this part of the body.
    """

    rule: Rule
    met: bool | None
    fits: bool
    words: str


class Part(NamedTuple):
    """One rating that both have, held against itself; `verdict` and its `meaning` as of a change."""

    title: str
    before: int
    after: int
    points: int
    verdict: str
    meaning: str


@dataclass(frozen=True)
class Change:
    """`points` is the later score less the earlier, `percent` that in per cent of the earlier; both None when
    nothing can be compared, `percent` also from 0. `within_error`: None when there is no figure, or published
    figures disagree (`verdict`: see range_change). `basis`: what was compared ("now"). `parts`: each
    rating that both have. `left_out`: what only one of the two has.
    """

    points: float | None
    percent: float | None
    direction: str
    judged: tuple[Judged, ...] = ()
    within_error: bool | None = None
    words: str = ""
    verdict: str = NO_FIGURE
    before: float | None = None
    after: float | None = None
    basis: str = ""
    parts: tuple[Part, ...] = ()
    left_out: tuple[str, ...] = ()

    @property
    def percent_shown(self) -> str:
        return "n/a" if self.percent is None else f"{self.percent:+.1f} %"


def change(
    instrument: Instrument | str,
    before: Answers,
    after: Answers,
    form: str = "",
    *,
    parts: Collection[str] = (),
    member: str = "",
) -> Change:
    """From earlier answers to later ones. `parts`: where the pain is (ids of bodymaps.parts), () when it is
    not known. `member`: which rating, the first that both have when "".
    """
    of = instrument_of(instrument)
    first, last = score(of, before, form), score(of, after, form)
    if of.way == CHOICE:
        return _as_told(of, last, form)
    if first.value is None or last.value is None:
        missing = f"earlier: {first.why_not}" if first.value is None else last.why_not
        return nothing(f"Not compared. {missing}")
    if of.way == ACTIVITIES:
        return _of_activities(of, activities_in(before), activities_in(after), parts)
    if not first.lines or of.way != "members":
        return judge(of, first.value, last.value, parts)
    return _of_member(of, first, last, parts, member)


def nothing(why: str) -> Change:
    return Change(None, None, "", words=why)


def judge(
    of: Instrument,
    before: float,
    after: float,
    parts: Collection[str] = (),
    *,
    basis: str = "",
    one: bool = False,
) -> Change:
    """Two scores of one instrument. `one`: they are of a single activity."""
    points = round(after - before, 9)
    percent = round(points / before * 100, 9) if before else None
    rules = (*of.of_kind(IMPORTANT), *of.of_kind(DETECTABLE, ONE if one else ""))
    judged = tuple(_judged(of, rule, points, percent, parts) for rule in rules)
    used = _used(judged)
    verdict = _verdict(points, used)
    direction = _direction(of, points)
    within = {WITHIN: True, BEYOND: False}.get(verdict)
    said = " ".join((difference(before, after, points, percent, direction), *_meaning(verdict, used)))
    return Change(
        points=points,
        percent=percent,
        direction=direction,
        judged=judged,
        within_error=(True if used else None) if verdict == SAME else within,
        words=" ".join((said, *_seems_to_matter(verdict, judged, direction))),
        verdict=verdict,
        before=before,
        after=after,
        basis=basis,
    )


def _of_member(of: Instrument, first: Score, last: Score, parts: Collection[str], member: str) -> Change:
    then, now = ({line.id: line for line in told.lines} for told in (first, last))
    both = [line for line in first.lines if line.id in now]
    chosen = next((line for line in both if member in ("", line.id)), None)
    if chosen is None:
        return nothing("Not compared: there is no rating that was given both times.")
    found = judge(of, then[chosen.id].value, now[chosen.id].value, parts, basis=chosen.title.lower())
    return _with(found, f"{chosen.title}: {found.words}", _each(of, both, now, parts))


def _of_activities(
    of: Instrument, before: Sequence[Line], after: Sequence[Line], parts: Collection[str]
) -> Change:
    then, now = ({line.id: line for line in lines} for lines in (before, after))
    both = [line for line in before if line.id in now]
    out = tuple(line.title for line in (*before, *after) if line.id not in then or line.id not in now)
    if not both:
        return nothing("Not compared: no activity was rated both times.")
    means = [sum(lines[line.id].value for line in both) / len(both) for lines in (then, now)]
    found = judge(of, means[0], means[1], parts, one=len(both) == 1)
    count = "1 activity" if len(both) == 1 else f"{len(both)} activities"
    said = f" Compared over the {count} rated both times; left out: {', '.join(out)}." if out else ""
    return _with(found, found.words + said, _each(of, both, now, parts), out)


def _each(
    of: Instrument, lines: Sequence[Line], now: dict[str, Line], parts: Collection[str]
) -> tuple[Part, ...]:
    found = []
    for line in lines:
        after = now[line.id].value
        verdict = judge(of, line.value, after, parts, one=of.way == ACTIVITIES).verdict
        meaning = MEANING.get(verdict, "").lower()
        found.append(Part(line.title, line.value, after, after - line.value, verdict, meaning))
    return tuple(found)


def _with(found: Change, words: str, parts: tuple[Part, ...], out: tuple[str, ...] = ()) -> Change:
    return replace(found, words=words, parts=parts, left_out=out)


def _as_told(of: Instrument, last: Score, name: str) -> Change:
    form = of.form(name)
    if form is None or last.value is None:
        return nothing(last.why_not)
    value = int(last.value)
    direction = NO_CHANGE if value == form.same else BETTER if is_better(form, value) else WORSE
    told = f"{last.shown}. It tells of change itself and is not held against an earlier one."
    return Change(None, None, direction, words=told, after=last.value)


def _judged(
    of: Instrument, rule: Rule, points: float, percent: float | None, parts: Collection[str]
) -> Judged:
    if rule.unit == PERCENT:
        size = None if percent is None else abs(percent)
    else:
        size = abs(points) if rule.unit == POINTS else abs(points) / (of.high - of.low) * 100
    met = _reached(rule, size)
    said = "inside this span" if met is None else "reached" if met else "not reached"
    said = "n/a, the first score is 0" if size is None else said
    label = f"{rule.label}, " if rule.label else ""
    return Judged(rule, met, rule.fits(parts), f"{label}{size_of(rule)}: {said}")


def _reached(rule: Rule, size: float | None) -> bool | None:
    """At its very size a rule is reached; inside a printed span nothing is said."""
    if size is None:
        return None
    size = round(size, 9)
    if size < rule.lower:
        return False
    return True if size >= rule.size else None


def _used(judged: Sequence[Judged]) -> tuple[Judged, ...]:
    """The detectable changes that decide: those that fit, and where none does, all."""
    errors = [each for each in judged if each.rule.kind == DETECTABLE and not _unknown(each)]
    return tuple([each for each in errors if each.fits] or errors)


def _unknown(each: Judged) -> bool:
    return each.met is None and each.rule.lower == each.rule.size


def _verdict(points: float, used: Sequence[Judged]) -> str:
    if points == 0:
        return SAME
    if not used:
        return NO_FIGURE
    if all(each.met is False for each in used):
        return WITHIN
    return BEYOND if all(each.met is True for each in used) else UNSURE


def _direction(of: Instrument, points: float) -> str:
    if points == 0:
        return NO_CHANGE
    return BETTER if (points > 0) is (of.better == HIGHER) else WORSE


def _meaning(verdict: str, used: Sequence[Judged]) -> tuple[str, ...]:
    if verdict == NO_FIGURE:
        return ("No figure is published for its measurement error that we know of.",)
    if verdict == SAME:
        return ()
    rules = sorted({each.rule for each in used}, key=lambda rule: (rule.size, rule.source))
    sizes = "; ".join(dict.fromkeys(f"{size_of(rule)}, {level_of(rule)}" for rule in rules))
    where = "" if all(each.fits for each in used) else f"; found for {_places(rules)} only"
    return (f"{MEANING[verdict]} (detectable change {sizes}{where}).",)


def _places(rules: Sequence[Rule]) -> str:
    """ "low back, neck and shoulder" """
    return plain.listed(sorted({part.replace("_", " ") for rule in rules for part in rule.parts}))


def _seems_to_matter(verdict: str, judged: Sequence[Judged], direction: str) -> tuple[str, ...]:
    """Large enough to matter by one figure, too small to be measured by another."""
    reached = [each.rule for each in judged if each.rule.kind == IMPORTANT and each.fits and each.met is True]
    # What is important was found for getting better; nothing is said of it when somebody got worse.
    if verdict not in (WITHIN, UNSURE) or not reached or direction == WORSE:
        return ()
    named = (f"{rule.label}, {size_of(rule)}" if rule.label else size_of(rule) for rule in reached)
    sizes = "; ".join(dict.fromkeys(named))
    return (f"It reaches a published important change ({sizes}), but that does not make it more than error.",)
