"""The course of one episode: everything that is plotted, put in tables, summed up and frozen at discharge."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from uuid import UUID
from zoneinfo import ZoneInfo

from bodymaps import parts
from bodymaps.atlas import Atlas
from bodymaps.reasoning.outcomes import Series
from charting.drawing.among import Painted, painted_among
from charting.episodes.models import Episode
from charting.outcomes.series import series_of
from charting.patterns.queries import atlas_for
from charting.progress import events, examined, scores
from charting.progress.events import Happened
from charting.progress.extents import extent_of
from charting.progress.measures import Measure
from charting.progress.pattern_share import shares_among
from charting.progress.queries import Recorded, recorded_of
from charting.progress.treated import Around, TreatedPlace, treated
from charting.staff.models import User
from charting.visits.models import Visit


@dataclass(frozen=True)
class Course:
    """`measures`: scores, extent, thresholds, ranges, in this order; one with a single value among them.
    `series`: the scores as they were worked out.
    """

    recorded: Recorded
    known: Atlas
    painted: Mapping[UUID, Painted]
    measures: tuple[Measure, ...]
    places: tuple[TreatedPlace, ...]
    series: tuple[Series, ...]

    @property
    def episode(self) -> Episode:
        return self.recorded.episode

    @property
    def visits(self) -> tuple[Visit, ...]:
        return self.recorded.visits

    @property
    def zone(self) -> ZoneInfo:
        return self.episode.patient.practice.zone

    @property
    def leading(self) -> str:
        """The key of the score that stands beside each treatment, "" without any."""
        score = scores.leading(self.measures)
        return score.key if score else ""

    @cached_property
    def treatments(self) -> tuple[Happened, ...]:
        return events.treatments(self.recorded, self.known)

    @cached_property
    def reactions(self) -> tuple[Happened, ...]:
        return events.reactions(self.recorded)

    @cached_property
    def missed(self) -> tuple[Happened, ...]:
        return events.missed(self.recorded, self.zone)


def course_of(user: User, episode: Episode, *, signed_only: bool = False) -> Course:
    """The course of an episode whose patient came through the patients' door. The same number of queries
    however many visits; the first look at many unsigned drawings takes some time to paint them.
    """
    recorded = recorded_of(user, episode, signed_only=signed_only)
    known = atlas_for(episode.patient.practice)
    painted = painted_among(recorded.visits)
    series = series_of(recorded.visits, _where(recorded.visits, painted))
    measures = _measures(recorded, painted, series, known)
    places = _places(recorded, painted, measures, known)
    return Course(recorded, known, painted, measures, places, series)


def _measures(
    recorded: Recorded, painted: Mapping[UUID, Painted], series: Iterable[Series], known: Atlas
) -> tuple[Measure, ...]:
    extent = extent_of(recorded.visits, painted)
    return (
        *scores.measures_of(series),
        *([extent] if extent else []),
        *examined.thresholds(recorded.pressed, recorded.when, known),
        *examined.movements(recorded.moved, recorded.when),
    )


def _where(visits: Iterable[Visit], painted: Mapping[UUID, Painted]) -> frozenset[str]:
    """Where the pain was at first, as parts of the body without side: published changes are chosen by it."""
    first = next((painted[visit.pk].marks for visit in visits if painted[visit.pk].marks), ())
    return frozenset(key.split()[0] for key in parts.parts_drawn(first))


def _places(
    recorded: Recorded, painted: Mapping[UUID, Painted], measures: Sequence[Measure], known: Atlas
) -> tuple[TreatedPlace, ...]:
    if not recorded.entries:
        return ()
    shares = shares_among(recorded.visits, painted, known)
    zone = recorded.episode.patient.practice.zone
    return treated(recorded.entries, Around(recorded.visits, shares, scores.leading(measures), zone), known)
