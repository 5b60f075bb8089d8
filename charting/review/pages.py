"""What the page of the review may use. Where too few people are chosen, nothing about people is in it."""

from dataclasses import dataclass

from charting.review import complete, muscles, outcomes, queries, safety
from charting.review.chosen import Chosen
from charting.review.complete import Line
from charting.review.muscles import Treated
from charting.review.numbers import Published, load
from charting.review.outcomes import InstrumentRow
from charting.review.safety import Safety
from charting.review.shown import Shown
from charting.review.where_it_hurts import Places, places
from charting.staff.models import User


@dataclass(frozen=True)
class People:
    """What is told of the people chosen."""

    places: Places
    outcomes: tuple[InstrumentRow, ...]
    muscles: tuple[Treated, ...]


@dataclass(frozen=True)
class ReviewPage:
    """`people` is None where they are too few. `query`: the choice as it stands in an address.
    `not_counted`: signed drawings of the period that are not in the map yet.
    """

    chosen: Chosen
    query: str
    count: Shown
    people: People | None
    safety: Safety
    complete: tuple[Line, ...]
    published: tuple[Published, ...]
    level: str
    not_counted: int


def review_page(user: User, chosen: Chosen, query: str = "") -> ReviewPage:
    """Some twenty queries, however many visits."""
    among = queries.selected(user, chosen)
    count = among.everybody
    return ReviewPage(
        chosen=chosen,
        query=query,
        count=count,
        people=None if count.is_blank else _people(user, chosen, among),
        safety=safety.safety_of(user, chosen),
        complete=complete.lines(user, chosen),
        published=load().published,
        level=f"{100 * load().level:g} %",
        not_counted=among.missing,
    )


def _people(user: User, chosen: Chosen, among: queries.Selected) -> People:
    return People(
        places(user, chosen, among),
        outcomes.outcome_rows(user, chosen, among),
        muscles.treated(user, chosen, among),
    )
