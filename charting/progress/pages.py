"""What the pages of the course and of the discharge may use."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any
from uuid import UUID

from charting.drafts.models import Draft
from charting.episodes.models import Episode, EpisodeEvent
from charting.episodes.queries import episodes_of, last_discharge
from charting.patients.models import Patient
from charting.progress import plots, services
from charting.progress.axis import Axis
from charting.progress.course import Course, course_of
from charting.progress.events import Happened
from charting.progress.forms import DischargeForm
from charting.progress.measures import Measure
from charting.progress.plots import LEFT, RIGHT, Plot
from charting.progress.small_drawings import small_drawings
from charting.progress.strip import Strip, strip
from charting.progress.summary import fingerprint, sentences, span_words, summary_of
from charting.progress.treated import TreatedPlace
from charting.staff.models import User
from charting.staff.rights import may
from charting.visits.forms import called
from charting.visits.models import Visit


@dataclass(frozen=True)
class EpisodeChoice:
    """One episode to look at."""

    episode: Episode
    title: str
    state: str
    is_chosen: bool


@dataclass(frozen=True)
class CoursePage:
    """The course of one episode; `episode` is None for somebody who was never here. `once`: measures with a
    single value, in words. `places`: what was treated and what was found after.
    """

    patient: Patient
    choices: tuple[EpisodeChoice, ...]
    episode: Episode | None
    title: str = ""
    discharge: EpisodeEvent | None = None
    may_discharge: bool = False
    span: str = ""
    changes: tuple[tuple[str, str], ...] = ()
    once: tuple[str, ...] = ()
    strip: Strip | None = None
    plots: tuple[Plot, ...] = ()
    places: tuple[TreatedPlace, ...] = ()
    score: str = ""
    treatments: tuple[Happened, ...] = ()
    reactions: tuple[Happened, ...] = ()
    missed: tuple[Happened, ...] = ()
    has_visits: bool = False


@dataclass(frozen=True)
class DischargePage:
    """The end of an episode: `form` while it is open and this person may end it. `summary` as it would be
    frozen, `seen` its fingerprint; `ended`: every discharge there was, newest first; `stands`: the one that
    counts now.
    """

    patient: Patient
    episode: Episode
    title: str
    form: DischargeForm | None
    summary: dict[str, Any] | None
    seen: str
    unsigned: tuple[Visit, ...]
    ended: tuple[EpisodeEvent, ...]
    stands: EpisodeEvent | None
    may_reopen: bool
    draft_key: str
    draft: Draft | None


def course_page(user: User, patient: Patient, chosen: UUID | None) -> CoursePage:
    """`chosen`: the episode to look at; the open one when it is None, or none of this patient's."""
    known = episodes_of(patient)
    episode = next((one for one in known if one.pk == chosen), known[0] if known else None)
    for one in known:
        one.patient = patient
    choices = tuple(_choice(one, episode) for one in known)
    if episode is None:
        return CoursePage(patient, choices, None)
    course = course_of(user, episode)
    page = CoursePage(
        patient=patient,
        choices=choices,
        episode=episode,
        title=called(episode, patient),
        discharge=last_discharge(episode),
        may_discharge=episode.is_open and may(user, "treat") and bool(course.visits),
    )
    return _filled(page, course) if course.visits else page


def _filled(page: CoursePage, course: Course) -> CoursePage:
    axis = axis_of(course)
    shown = [one for one in course.measures if one.is_course]
    return replace(
        page,
        span=span_words(course),
        changes=sentences(course, shown),
        once=tuple(_once(one, course) for one in course.measures if not one.is_course),
        strip=_strip(course, axis),
        plots=tuple(_plot(one, course, axis) for one in shown),
        places=course.places,
        score=next((one.title for one in course.measures if one.key == course.leading), ""),
        treatments=course.treatments,
        reactions=course.reactions,
        missed=course.missed,
        has_visits=True,
    )


def axis_of(course: Course) -> Axis:
    """The one axis of the page: from the first visit or event to the last."""
    happened = [one.at for one in (*course.reactions, *course.missed)]
    return Axis.over([*(visit.started_at for visit in course.visits), *happened], LEFT, RIGHT)


def _strip(course: Course, axis: Axis) -> Strip:
    return strip(
        small_drawings(course.visits, course.painted),
        axis=axis,
        zone=course.zone,
        treated=course.treatments,
        reactions=course.reactions,
        missed=course.missed,
    )


def _plot(measure: Measure, course: Course, axis: Axis) -> Plot:
    return plots.plot(
        measure,
        axis=axis,
        zone=course.zone,
        visits=[visit.pk for visit in course.visits],
        treated=course.treatments,
        reactions=course.reactions,
    )


def _once(measure: Measure, course: Course) -> str:
    value = measure.first
    return f"{measure.title}: {value.words} on {plots.day(value.at, course.zone)}"


def _choice(one: Episode, chosen: Episode | None) -> EpisodeChoice:
    state = "open" if one.is_open else "discharged"
    return EpisodeChoice(one, called(one, one.patient), state, one == chosen)


def discharge_page(
    user: User,
    episode: Episode,
    events: Sequence[EpisodeEvent],
    form: DischargeForm | None,
    draft: Draft | None,
) -> DischargePage:
    """`events`: of this episode, oldest first. A form given here holds what was typed."""
    stands = last_discharge(episode)
    course = course_of(user, episode) if episode.is_open else None
    summary = summary_of(course) if course else None
    return DischargePage(
        patient=episode.patient,
        episode=episode,
        title=called(episode, episode.patient),
        form=form,
        summary=summary,
        seen=fingerprint(summary) if summary else "",
        unsigned=course.recorded.unsigned if course else (),
        ended=tuple(one for one in reversed(events) if one.what == EpisodeEvent.What.DISCHARGED),
        stands=stands,
        may_reopen=not episode.is_open and may(user, "treat"),
        draft_key=services.draft_key(episode),
        draft=draft,
    )
