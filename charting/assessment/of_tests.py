"""Sentences about tests that are no sign of a single source: joints, their range, clusters."""

from collections.abc import Iterable, Iterator

from bodymaps.reasoning import clusters, items, ranges
from bodymaps.reasoning.case import SIDES
from bodymaps.reasoning.clusters import Cluster
from bodymaps.reasoning.items import NOT_TESTED, Group, Item
from bodymaps.reasoning.ranges import ACTIVE, PAIN_ON, PASSIVE, Movement
from charting.assessment import near
from charting.assessment.made import Made, Record, joined, sided, small
from charting.assessment.written import OPEN, RULED_OUT, SOURCE

# Groups of the neuro screen of which a single test says something by itself.
TESTS = ("tension", "neck", "cord", "back", "outlet", "entrapment")
# (side, words) of tests
Results = list[tuple[str, str]]


def of_tests(record: Record) -> Iterator[Made]:
    yield from (made for group in _groups() if (made := _of_group(group, record)))
    yield from (made for joint in ranges.load().joints if (made := _of_joint(joint.id, joint.title, record)))
    yield from (_of_cluster(one) for one in clusters.of(record.case))


def _groups() -> Iterable[Group]:
    known = items.findings()
    return (*known.on_page("joint"), *(each for each in known.on_page("neuro") if each.id in TESTS))


def _of_group(group: Group, record: Record) -> Made | None:
    """One sentence for the tests of a group: what was positive, what was not, side by side."""
    positive, negative = _results(group, record, abnormal=True), _results(group, record, abnormal=False)
    if not positive and not negative:
        return None
    text = f"{group.title}: {joined((*_by_side(positive), *_by_side(negative)))}."
    return Made(
        f"tests:{group.id}", SOURCE if positive else RULED_OUT, text, near=near.load().group(group.id)
    )


def _results(group: Group, record: Record, *, abnormal: bool) -> Results:
    found: Results = []
    for item in group.items:
        for side in SIDES if item.sided else ("",):
            value = record.case.finding(item.key, side)
            if isinstance(value, str) and value != NOT_TESTED and _is_abnormal(item, value) is abnormal:
                found.append((side, f"{item.label} {item.words_for(value)}"))
    return found


def _by_side(results: Results) -> Iterator[str]:
    """ "both sides: Spurling negative", "right: Distraction eases no change"; what is alike on both once."""
    both = [said for side, said in results if side == "right" and ("left", said) in results]
    yield _of_side("", [said for side, said in results if not side])
    yield _of_side("both sides", both)
    for side in SIDES:
        yield _of_side(side, [said for one, said in results if one == side and said not in both])


def _of_side(side: str, said: list[str]) -> str:
    return f"{side}{': ' if side else ''}{', '.join(said)}" if said else ""


def _is_abnormal(item: Item, value: str) -> bool:
    return value not in items.findings().scale_of(item).within_normal


def _of_joint(joint: str, title: str, record: Record) -> Made | None:
    """What hurts, and what differs between the sides by more than the published error; None for neither."""
    found = [said for movement in ranges.load().of(joint) if (said := _notable(movement, record))]
    if not found:
        return None
    text = f"{title}, range: {joined(found)}."
    return Made(f"range:{joint}", SOURCE, text, near=near.load().group(joint))


def _notable(movement: Movement, record: Record) -> str:
    sides = SIDES if movement.sided else ("",)
    hurts = [side for side in sides if record.case.finding(f"{PAIN_ON}:{movement.id}", side) == "yes"]
    measured = [said for how in (ACTIVE, PASSIVE) if (said := _measured(movement, how, record))]
    differs = any(said.endswith("differ") for said in measured)
    if not hurts and not differs:
        return ""
    numbers = joined((said.removesuffix(", sides differ") for said in measured), ", ")
    pain = "painful" if not movement.sided else f"painful {' and '.join(hurts)}"
    return joined((f"{small(movement.label)} {numbers}".strip(), pain if hurts else ""), ", ")


def _measured(movement: Movement, how: str, record: Record) -> str:
    """ "active right 40°, left 70°, sides differ", "" when nothing was measured."""
    found = {side: record.case.finding(f"{how}:{movement.id}", side) for side in (*SIDES, "")}
    numbers = {side: value for side, value in found.items() if isinstance(value, int | float)}
    said = ", ".join(f"{side} {value:g}{_unit(movement)}".strip() for side, value in numbers.items())
    return f"{how} {said}{', sides differ' if _differs(movement, numbers) else ''}" if said else ""


def _differs(movement: Movement, numbers: dict[str, float]) -> bool:
    """By more than the largest published error of measurement; without a figure nothing can be said."""
    if not movement.changes or not {"right", "left"} <= set(numbers):
        return False
    return abs(numbers["right"] - numbers["left"]) > max(change.value for change in movement.changes)


def _unit(movement: Movement) -> str:
    return movement.unit if movement.unit == "°" else f" {movement.unit}"


def _of_cluster(one: Cluster) -> Made:
    count = len(one.positive) + len(one.negative) + len(one.not_tested)
    parts = (
        f"{len(one.positive)} of {count} positive"
        + (f" ({', '.join(one.positive)})" if one.positive else ""),
        ", ".join(one.negative),
        f"not tested: {', '.join(one.not_tested)}" if one.not_tested else "",
        f"published likelihood ratio {one.lr:g}" if one.lr is not None else "",
    )
    text = f"{sided(one.title, one.side)}: {joined(parts)}."
    return Made(
        f"cluster:{one.id}:{one.side}", _about(one), text, near=near.load().about.get(one.about, frozenset())
    )


def _about(one: Cluster) -> str:
    if one.lr is None and one.not_tested:
        return OPEN
    speaks_for = one.lr > 1 if one.lr is not None else bool(one.positive)
    return SOURCE if speaks_for else RULED_OUT
