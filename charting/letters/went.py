"""How an episode went, in sentences: what was measured, done and reported. No word of a cause."""

from collections.abc import Iterator
from typing import Any

from bodymaps.compare import compare
from bodymaps.reasoning.outcome_instruments import DETECTABLE, IMPORTANT
from bodymaps.reasoning.outcomes import Change, Series
from bodymaps.reasoning.outcomes_change import BETTER as GAIN
from bodymaps.reasoning.outcomes_change import MEANING
from bodymaps.reasoning.outcomes_words import size_of
from bodymaps.reasoning.range_change import SAME
from bodymaps.words import listed
from charting.letters.gathered import Gathered
from charting.letters.reason import Said
from charting.progress.compare_pages import cm2
from charting.progress.compare_queries import sizes_of
from charting.progress.measures import BETTER
from charting.progress.summary import span_words, summary_of
from charting.report.papers import stopped

# So many measures stand in the letter to a referrer, scores before extent, threshold and range.
FEW_MEASURES = 3


def span(found: Gathered) -> Iterator[Said]:
    yield "span", span_words(found.course)


def missed(found: Gathered) -> Iterator[Said]:
    days = [found.day(one.at) for one in found.course.missed]
    if days:
        count = "1 appointment was" if len(days) == 1 else f"{len(days)} appointments were"
        yield "missed", f"{count} missed: {listed(days)}."


def measures(found: Gathered) -> Iterator[Said]:
    """The first few scores that were taken twice, each with what is published about such a change."""
    for one in [each for each in found.course.series if len(each.points) > 1][:FEW_MEASURES]:
        if one.change:
            yield f"measure:{one.id}", _score(one, one.change, found)


def _score(one: Series, change: Change, found: Gathered) -> str:
    """ "Pain rating, on average (lower is better): 7 on 4 May 2026, 3 on ..., better. More than ..." """
    first, last = one.points[0], one.points[-1]
    better = f" ({BETTER[one.better]})" if BETTER.get(one.better) else ""
    said = [f"{point.words} on {found.day(point.when)}" for point in (first, last)]
    course = f"{one.label}{better}: {', '.join(said)}"
    if change.before is None or change.verdict == SAME:
        return f"{course}."
    means = MEANING.get(change.verdict, "No figure is known for its measurement error")
    means += " by figures found for other parts of the body" * is_from_elsewhere(change)
    reached = [each.rule for each in change.judged if each.rule.kind == IMPORTANT and each.fits and each.met]
    sizes = ", ".join(dict.fromkeys(size_of(rule) for rule in reached)) if change.direction == GAIN else ""
    important = f" Published important change reached: {sizes}." if sizes else ""
    return f"{course}, {change.direction}. {means}.{important}"


def is_from_elsewhere(change: Change) -> bool:
    """Whether every detectable change it was held against was found for other parts of the body."""
    errors = [each for each in change.judged if each.rule.kind == DETECTABLE]
    return bool(errors) and not any(each.fits for each in errors)


def drawing(found: Gathered) -> Iterator[Said]:
    """The last drawing over the first one."""
    told = [visit for visit in found.visits if found.course.painted[visit.pk].is_told]
    if len(told) < 2:
        return
    first, last = told[0], told[-1]
    before, now = (found.course.painted[visit.pk].marks for visit in (first, last))
    change = compare(before, now, *sizes_of(last, first)).change
    parts = [
        f"{cm2(amount.cm2)} cm² {name}"
        for name, amount in (("gone", change.gone), ("new", change.new), ("unchanged", change.unchanged))
    ]
    days = f"{found.day(first.started_at)} to {found.day(last.started_at)}"
    yield "drawing", f"Area drawn as painful, on the figure, {days}: {', '.join(parts)}."


def treated(found: Gathered) -> Iterator[Said]:
    """Every place with what was done to it and how often."""
    for one in summary_of(found.course)["treated"]:
        yield f"place:{one['where'].lower()}", f"{one['where']}, at {one['visits']}: {one['done']}."


def reactions(found: Gathered) -> Iterator[Said]:
    """Each reaction; that there is none on record is said, not that there was none."""
    for number, one in enumerate(found.course.reactions, 1):
        yield f"reaction:{number}", f"Reaction on {found.day(one.at)}: {stopped(one.words)}"
    if found.course.treatments and not found.course.reactions:
        yield "reactions", "No reaction to treatment is on record."


def home(found: Gathered) -> Iterator[Said]:
    on, items = last_programme(found)
    if items:
        said = "; ".join(
            ", ".join(filter(None, (item["title"].rstrip("."), item["dose"].rstrip(".")))) for item in items
        )
        yield "home", f"At home, as agreed on {on}: {said}."


def last_programme(found: Gathered) -> tuple[str, list[dict[str, Any]]]:
    """(day, items) of the last signed note with a home programme; ("", []) without any."""
    for note in reversed(found.in_order):
        if items := note.content.get("programme", {}).get("items"):
            return str(note.content["visit"]["day"]), items
    return "", []
