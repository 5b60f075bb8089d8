"""Every read of diagnosis codes. A visit or an episode given here came through the patients' door."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import datetime

from bodymaps import parts
from bodymaps.reasoning import felt
from charting.assessment import certainty
from charting.assessment.made import MUSCLE
from charting.assessment.queries import rows_of, written_in
from charting.coding.evidence import Evidence, Named
from charting.coding.models import DiagnosisCode
from charting.drawing.queries import drawing_of
from charting.episodes.models import Episode
from charting.examination.queries import as_felt, muscles_of
from charting.visits.models import Visit


@dataclass(frozen=True)
class EpisodeCode:
    """A code of an episode: when it was first and last chosen (starts of visits), in how many visits.
    `is_current`: the last visit that has codes has it; `is_main`: as its first. Title and release: as last
    chosen.
    """

    code: str
    title: str
    release: str
    first: datetime
    last: datetime
    visits: int
    is_current: bool
    is_main: bool


def codes_of(visit: Visit) -> tuple[DiagnosisCode, ...]:
    """In their order, the main code first. One query."""
    return tuple(DiagnosisCode.objects.filter(visit=visit).select_related("chosen_by").order_by("position"))


def codes_of_episode(episode: Episode) -> tuple[EpisodeCode, ...]:
    """Each code of an episode once: those of its last visit with codes in their order, then those before,
    last chosen first. One query.
    """
    rows = DiagnosisCode.objects.filter(visit__episode=episode).select_related("visit")
    return _once(rows.order_by("-visit__started_at", "position"))


def last_codes_before(visit: Visit) -> tuple[DiagnosisCode, ...]:
    """Those of the last earlier visit about the same complaint that has any. One query."""
    rows = DiagnosisCode.objects.filter(visit__patient=visit.patient_id, visit__episode=visit.episode_id)
    earlier = rows.filter(visit__started_at__lt=visit.started_at).select_related("visit")
    held = tuple(earlier.order_by("-visit__started_at", "position"))
    return tuple(row for row in held if row.visit_id == held[0].visit_id)


def evidence_of(visit: Visit) -> Evidence:
    """What codes are held against. Paints the drawing, some 20 ms; two queries beside its own."""
    return Evidence(parts.sides_drawn(drawing_of(visit).marks), frozenset(_named(visit)))


def _named(visit: Visit) -> Iterator[Named]:
    """The muscles in which something was found, and the sources concluded, less those ruled out."""
    for row in muscles_of(visit):
        if felt.verdict(as_felt(row)).count:
            yield MUSCLE, row.muscle, row.side
    for conclusion in rows_of(visit):
        for source in () if conclusion.left_out else written_in(conclusion).sources:
            if not certainty.load().excludes(source.certainty):
                yield source.by


def _once(rows: Iterable[DiagnosisCode]) -> tuple[EpisodeCode, ...]:
    """`rows`: newest visit first."""
    held: dict[str, list[DiagnosisCode]] = {}
    newest = None
    for row in rows:
        newest = newest or row.visit_id
        held.setdefault(row.code, []).append(row)
    return tuple(_one(same, newest) for same in held.values())


def _one(same: list[DiagnosisCode], newest: object) -> EpisodeCode:
    last, first = same[0], same[-1]
    is_current = last.visit_id == newest
    return EpisodeCode(
        code=last.code,
        title=last.title,
        release=last.release,
        first=first.visit.started_at,
        last=last.visit.started_at,
        visits=len(same),
        is_current=is_current,
        is_main=is_current and last.position == 0,
    )
