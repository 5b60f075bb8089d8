"""Sentences about signs of danger, and about what is still open in the whole visit."""

from collections.abc import Iterator

from bodymaps.reasoning import items
from bodymaps.reasoning.case import SIDES
from bodymaps.reasoning.items import NOT_TESTED
from charting.assessment.made import Danger, Made, Record, joined, sided, small
from charting.assessment.of_muscles import by_of, named
from charting.assessment.written import OPEN, RULED_OUT
from charting.screening.sections import JOINT, NEURO, Part, load, page_of


def of_danger(record: Record) -> Iterator[Made]:
    yield from (_of_danger(danger) for danger in record.dangers)
    for what, said in record.unanswered:
        yield Made(f"unanswered:{what}", OPEN, said)


def of_gaps(record: Record) -> Iterator[Made]:
    """What was meant to be examined and is not: muscles of the list, the neuro screen where something is
    drawn, what is down as not tested.
    """
    for found in record.unexamined:
        text = f"{named(found, record)}: on the list, not palpated."
        yield Made(f"list:{found.muscle}:{found.side}:{found.site}", OPEN, text, by_of(found))
    for part in load().parts:
        if part.id in record.screens and not _is_screened(part, record):
            yield Made(
                f"screen:{part.id}", OPEN, f"Neuro screen, {_small_title(part)}: not done.", near=part.drawn
            )
    yield from _not_tested(record)


def _of_danger(danger: Danger) -> Made:
    key = f"danger:{danger.id}"
    if danger.waits:
        return Made(key, OPEN, f"{danger.title}: raised and not decided about ({danger.because}).")
    if not danger.outcome:
        return Made(key, OPEN, f"{danger.title}: to watch ({danger.because}).")
    decided = f"{danger.outcome[:1].lower()}{danger.outcome[1:]}, decided by {danger.decided}"
    text = f"{danger.title}: {decided}. {joined((danger.why.rstrip('.'), danger.follow_up), '; ')}."
    return Made(key, RULED_OUT if danger.cleared else OPEN, text)


def _small_title(part: Part) -> str:
    """ "Arm: C5 to T1" -> "arm, C5 to T1"."""
    return small(part.title).replace(": ", ", ")


def _is_screened(part: Part, record: Record) -> bool:
    """Whether any test of the neuro screen that belongs to a part of the body is on record."""
    known = items.findings().items
    tested = (known[key] for key, _ in record.case.findings if key in known)
    return any(page_of(item.key) == NEURO and part.holds(item) for item in tested)


def _not_tested(record: Record) -> Iterator[Made]:
    """One sentence for each group of tests with anything down as not tested."""
    groups = (group for page in (NEURO, JOINT) for group in items.findings().on_page(page))
    for group in groups:
        left = [
            sided(item.label, side)
            for item in group.items
            for side in (*SIDES, "")
            if record.case.finding(item.key, side) == NOT_TESTED
        ]
        if left:
            yield Made(
                f"not_tested:{group.id}", OPEN, f"Not tested, {group.title.lower()}: {'; '.join(left)}."
            )
