"""Everything the page shows, as the rows of one table: what, of which, how it is named, and the value.

Counts of people are spans, as on the page: what is blank there is not in the file.
"""

from collections.abc import Iterator

from charting.exchange.spreadsheet import Value
from charting.review.outcomes import InstrumentRow
from charting.review.pages import People, ReviewPage
from charting.review.safety import Rate
from charting.review.shown import Shown

HEAD = ("Table", "Row", "Column", "Value", "Out of", "At least", "At most")
TOO_FEW = "too few"
Row = tuple[Value, ...]


def rows(page: ReviewPage) -> Iterator[Row]:
    yield HEAD
    yield ("Chosen", "Period", "", page.chosen.period, None, None, None)
    for what, which in page.chosen.lines:
        yield ("Chosen", what, "", which, None, None, None)
    yield _people("People", "All chosen", "People", page.count)
    if page.people:
        yield from _of_people(page.people)
    for title, rates in (("Treatments", page.safety.treatments), ("Needling", page.safety.needled)):
        yield from (_rate(title, one) for one in rates)
    yield ("Treatments", "Reactions tied to no visit", "Reactions", page.safety.untied, None, None, None)
    for line in page.complete:
        yield ("Complete", line.label, line.share_words, line.count, line.of, None, None)


def _of_people(told: People) -> Iterator[Row]:
    for region in told.places.rows:
        yield _people("Where it hurts", region.label, "People", region.people)
    for instrument in told.outcomes:
        yield from _instrument(instrument)
    for muscle in told.muscles:
        yield _people("Muscles treated", muscle.name, "People", muscle.people)
        yield _people("Muscles treated", muscle.name, "With a needle", muscle.needled)


def _instrument(told: InstrumentRow) -> Iterator[Row]:
    yield _people("Outcomes", told.name, "People with two scores", told.people)
    for group in told.groups:
        yield _people("Outcomes", told.name, group.label, group.people)
    for one in told.reached:
        yield _people("Outcomes", told.name, f"Important change, {one.words}: it speaks of", one.of)
        yield _people("Outcomes", told.name, f"Important change, {one.words}: reached", one.people)
    for part in told.scale:
        yield _people("Outcomes", told.name, f"First score {part.label}", part.first)
        yield _people("Outcomes", told.name, f"Last score {part.label}", part.last)


def _people(table: str, row: str, column: str, told: Shown) -> Row:
    if told.is_blank:
        return (table, row, column, TOO_FEW, None, None, None)
    return (table, row, column, told.words, None, told.least, told.most)


def _rate(title: str, one: Rate) -> Row:
    at_most = None if one.at_most is None else round(one.at_most, 6)
    return (title, one.label, f"{one.share_words} of treatments", one.count, one.of, None, at_most)
