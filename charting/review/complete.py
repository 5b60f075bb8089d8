"""What is missing in the record that the review rests on: scores, second scores, reactions looked at again.

Exact numbers of visits, episodes and reactions, by period and clinician alone (see safety).
"""

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from uuid import UUID

from django.db.models import Count, Exists, OuterRef, Q
from django.utils import timezone

from charting.outcomes.models import OutcomeScore
from charting.review.chosen import Chosen
from charting.review.queries import held, signed
from charting.review.safety import percent
from charting.staff.models import User
from charting.treatment.models import AdverseEvent, AdverseFollowUp
from charting.visits.models import Visit


@dataclass(frozen=True)
class Line:
    """`count` of `of`; `remark` says what the rest is."""

    label: str
    count: int
    of: int
    remark: str = ""

    @property
    def share_words(self) -> str:
        return percent(self.count / self.of) if self.of else "none to count"


def lines(user: User, chosen: Chosen) -> tuple[Line, ...]:
    """Six queries."""
    return (*_visits(user, chosen), *_episodes(user, chosen), *_reactions(user, chosen))


def _visits(user: User, chosen: Chosen) -> tuple[Line, ...]:
    visits = Visit.objects.filter(held(user, chosen)).order_by()
    counted = visits.aggregate(all=Count("pk"), signed=Count("pk", filter=Q(signed_at__isnull=False)))
    scores = OutcomeScore.objects.filter(held(user, chosen, "visit__"), visit__signed_at__isnull=False)
    counted |= scores.aggregate(scored=Count("visit", distinct=True))
    left, bare = counted["all"] - counted["signed"], counted["signed"] - counted["scored"]
    return (
        Line("Visits that are signed", counted["signed"], counted["all"], f"{left} not signed yet"),
        Line("Signed visits with a score", counted["scored"], counted["signed"], f"{bare} without a score"),
    )


def _episodes(user: User, chosen: Chosen) -> tuple[Line, ...]:
    """Of the episodes with a signed visit in the period: what they hold up to its end."""
    seen = signed(user).filter(held(user, chosen), episode__isnull=False).values("episode")
    until = signed(user).filter(episode__in=seen, started_at__lt=chosen.end)
    visits = dict(until.values_list("episode").annotate(Count("pk")))
    rows = OutcomeScore.objects.filter(visit__in=until.values("pk")).order_by()
    scored = _most_of_one(rows.values_list("visit__episode_id", "instrument"))
    again = [episode for episode, count in visits.items() if count > 1]
    first = sum(bool(scored.get(episode)) for episode in visits)
    second = sum(scored.get(episode, 0) > 1 for episode in again)
    return (
        Line("Episodes with a score", first, len(visits), f"{len(visits) - first} without any"),
        Line(
            "Episodes of more than one visit with a second score of the same instrument",
            second,
            len(again),
            f"{len(again) - second} can't tell how it went",
        ),
    )


def _most_of_one(rows: Iterable[tuple[UUID | None, str]]) -> dict[UUID | None, int]:
    """By episode, how often the instrument was taken that was taken most."""
    counted: dict[UUID | None, dict[str, int]] = defaultdict(lambda: defaultdict(int))
    for episode, instrument in rows:
        counted[episode][instrument] += 1
    return {episode: max(found.values()) for episode, found in counted.items()}


def _reactions(user: User, chosen: Chosen) -> tuple[Line, ...]:
    rows = AdverseEvent.objects.filter(held(user, chosen, "visit__"), corrected_by__isnull=True).order_by()
    followed = Exists(AdverseFollowUp.objects.filter(event=OuterRef("pk")))
    told = rows.filter(follow_up_on__isnull=False).annotate(followed=followed)
    found = list(told.values_list("followed", "follow_up_on"))
    done = sum(is_done for is_done, _ in found)
    late = sum(not is_done and due is not None and due < _today(chosen) for is_done, due in found)
    return (Line("Reactions to be looked at again that were", done, len(found), f"{late} overdue"),)


def _today(chosen: Chosen) -> date:
    return timezone.now().astimezone(chosen.zone).date()
