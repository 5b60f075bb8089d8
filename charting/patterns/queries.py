"""Every read of a practice's own patterns, and the atlas with those in use."""

import uuid
from collections.abc import Iterable
from dataclasses import dataclass, replace
from functools import lru_cache

from django.db.models import Exists, OuterRef, QuerySet
from django.http import Http404
from django.shortcuts import get_object_or_404

from bodymaps import atlas as release
from bodymaps import marks, own, own_file
from bodymaps.geometry import Area
from bodymaps.own import OwnPattern
from bodymaps.patterns import Atlas, Place, Source
from bodymaps.strokes import Stroke
from charting.drawing.queries import hash_among, stroke_on, withdrawn_by
from charting.patterns.models import (
    PatternDrawing,
    PatternFile,
    PatternStroke,
    PatternVersion,
    PatternWithdrawal,
)
from charting.staff.models import Practice, User


@dataclass(frozen=True)
class Drawn:
    """A drawing as it stands: its zones (mm) by view and zone, and where the point was marked."""

    strokes: tuple[Stroke, ...]
    zones: dict[tuple[str, str], Area]
    at: Place | None


def atlas_for(practice: Practice | None) -> Atlas:
    """The atlas of this release with the patterns that the practice has in use.

    The same object as long as neither changes, and that of the release when there are none: what is computed
    from an atlas is kept beside it. One small query.
    """
    base = release.load()
    if practice is None:
        return base
    ids = tuple(sorted(row.pk for row in _newest(practice).values() if row.in_use))
    return _applied(base, ids) if ids else base


@lru_cache(maxsize=16)
def _applied(base: Atlas, ids: tuple[uuid.UUID, ...]) -> Atlas:
    """Versions never change and their ids are never used again, so they say all there is to know."""
    rows = PatternVersion.objects.filter(pk__in=ids).order_by("pattern")
    return own.applied(base, [as_own(row) for row in rows])


def _newest(practice: Practice) -> dict[str, PatternVersion]:
    """The latest version of each pattern, without its areas."""
    light = PatternVersion.objects.filter(practice=practice).only("pattern", "number", "in_use")
    return {row.pattern: row for row in light.order_by("pattern", "number")}


def latest_of(practice: Practice | None) -> tuple[PatternVersion, ...]:
    """The latest version of every pattern of a practice, in use or not, by name."""
    if practice is None:
        return ()
    ids = [row.pk for row in _newest(practice).values()]
    rows = PatternVersion.objects.filter(pk__in=ids).select_related("drawing", "file")
    return tuple(sorted(rows, key=lambda row: (row.name.casefold(), row.pattern)))


def in_use(practice: Practice | None) -> tuple[PatternVersion, ...]:
    return tuple(row for row in latest_of(practice) if row.in_use)


def versions_of(user: User, pattern: str) -> tuple[PatternVersion, ...]:
    """Every version of one pattern of the user's practice, newest first. Raises Http404 without any."""
    rows = PatternVersion.objects.filter(practice=user.practice, pattern=pattern).order_by("-number")
    found = tuple(rows.select_related("drawing", "file")) if user.practice else ()
    if not found:
        raise Http404("This practice has no such pattern.")
    return found


def zones_now(practice: Practice, pattern: str) -> dict[tuple[str, str], Area]:
    """What a pattern looks like today: its latest version, or all sites of the muscle; {} for none."""
    latest = latest_version(practice, pattern)
    if latest:
        return dict(as_own(latest).zones)
    muscle = release.load().muscles.get(pattern)
    return muscle.zones_of() if muscle else {}


def latest_version(practice: Practice, pattern: str) -> PatternVersion | None:
    rows = PatternVersion.objects.filter(practice=practice, pattern=pattern)
    return rows.select_related("drawing").order_by("-number").first()


def newest_number(practice: Practice, pattern: str) -> int:
    """0 when there is none yet."""
    latest = latest_version(practice, pattern)
    return latest.number if latest else 0


def as_own(row: PatternVersion) -> OwnPattern:
    """What the database keeps, as what ranks. It was checked when it was written."""
    return OwnPattern(
        id=row.pattern,
        name=row.name,
        version=row.number,
        site=row.site,
        source=Source(row.work, row.chapter, row.status),
        reason=row.reason,
        zones=own_file.zones_from({"zones": row.zones}, "database", str(row)),
        at=own_file.place_from(row.at, "database", str(row)),
    )


def is_same(row: PatternVersion, one: OwnPattern) -> bool:
    """Whether a pattern says just what stands in a version that is in use, numbers of versions aside."""
    return row.in_use and as_own(row) == replace(one, version=row.number)


# Drawings that are on their way to a pattern.


def drawings_of(user: User) -> QuerySet[PatternDrawing]:
    """The drawings of the user's practice; none for somebody without one."""
    found = PatternDrawing.objects.filter(practice=user.practice).select_related("begun_by", "practice")
    return found if user.practice else found.none()


def drawing_for(user: User, drawing_id: uuid.UUID) -> PatternDrawing:
    return get_object_or_404(drawings_of(user), pk=drawing_id)


def unfinished(user: User) -> tuple[PatternDrawing, ...]:
    """Drawings with something on them of which nothing was kept yet, newest first."""
    kept = PatternVersion.objects.filter(drawing=OuterRef("pk"))
    inked = PatternStroke.objects.filter(drawing=OuterRef("pk"))
    rows = drawings_of(user).filter(~Exists(kept), Exists(inked))
    return tuple(row for row in rows if standing(row))


def version_kept_of(drawing: PatternDrawing) -> PatternVersion | None:
    """The version that a drawing became, None while it is open."""
    return PatternVersion.objects.filter(drawing=drawing).first()


def rows_of(drawing: PatternDrawing) -> tuple[tuple[PatternStroke, ...], tuple[PatternWithdrawal, ...]]:
    """All that the board has sent, in the order of drawing."""
    return (
        tuple(PatternStroke.objects.filter(drawing=drawing)),
        tuple(PatternWithdrawal.objects.filter(drawing=drawing)),
    )


def standing(drawing: PatternDrawing) -> tuple[PatternStroke, ...]:
    """The strokes less those taken back."""
    strokes, withdrawals = rows_of(drawing)
    gone = withdrawn_by(withdrawals)
    return tuple(row for row in strokes if str(row.event_id) not in gone)


def drawn(drawing: PatternDrawing) -> Drawn:
    """Paint a drawing. Some tens of milliseconds."""
    strokes = tuple(stroke_on(row, "") for row in standing(drawing))
    return Drawn(strokes, own.painted(strokes), own.place_of(marks.spots(strokes)))


def hash_of_event(drawing: PatternDrawing, event_id: uuid.UUID) -> str | None:
    """The hash of the body an event was kept with, or None when it is not known yet."""
    return hash_among((PatternStroke, PatternWithdrawal), drawing=drawing, event_id=event_id)


def size_of(drawing: PatternDrawing) -> tuple[int, int]:
    """How many strokes and points a drawing holds, taken back or not."""
    sizes = [len(points) for points in _points(drawing)]
    return len(sizes), sum(sizes)


def _points(drawing: PatternDrawing) -> Iterable[list[object]]:
    return PatternStroke.objects.filter(drawing=drawing).values_list("points", flat=True)


def file_for(user: User, file_id: uuid.UUID) -> PatternFile:
    """A file that was brought to the user's practice."""
    found = (
        PatternFile.objects.filter(practice=user.practice) if user.practice else PatternFile.objects.none()
    )
    return get_object_or_404(found, pk=file_id)
