"""Which treated muscles went with which change: what was found before a treatment and what after it.

After is not because: several things happen at once, and pain comes and goes by itself. No word says more.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from uuid import UUID
from zoneinfo import ZoneInfo

from bodymaps.atlas import Atlas
from bodymaps.words import percent
from charting.progress.measures import Measure
from charting.progress.pattern_share import Shares
from charting.progress.plots import day
from charting.treatment import techniques, where
from charting.treatment.models import TreatmentEntry
from charting.visits.models import Visit

NOT_DRAWN = "not drawn"


@dataclass(frozen=True)
class Treated:
    """One treatment of one place. `pattern`: how much of its pattern was drawn then and at the next visit;
    `score`: the leading score then and at the next visit; `beside`: what else was treated that day.
    """

    visit: UUID
    on: str
    done: str
    pain: str
    pattern: str
    score: str
    beside: str


@dataclass(frozen=True)
class TreatedPlace:
    """One muscle and side, or one area, with all its treatments in order of time."""

    name: str
    is_muscle: bool
    times: tuple[Treated, ...]

    @property
    def count(self) -> str:
        """ "at 4 visits" """
        return f"at {len(self.times)} visit{'' if len(self.times) == 1 else 's'}"


@dataclass(frozen=True)
class Around:
    """What stands round the treatments of an episode: visits in order of time, what each drew, the score."""

    visits: Sequence[Visit]
    shares: Mapping[UUID, Shares]
    score: Measure | None
    zone: ZoneInfo

    def next(self, visit: UUID) -> Visit | None:
        later = [one.pk for one in self.visits].index(visit) + 1
        return self.visits[later] if later < len(self.visits) else None


def treated(
    entries: Mapping[UUID, Iterable[TreatmentEntry]], around: Around, known: Atlas
) -> tuple[TreatedPlace, ...]:
    """Every place that was treated, muscles by how often, then areas; each with what came after."""
    found: dict[tuple[str, str, str], list[tuple[Visit, list[TreatmentEntry]]]] = {}
    names: dict[tuple[str, str, str], str] = {}
    for visit in around.visits:
        for row in entries.get(visit.pk, ()):
            at = where.of(row).spot
            key = (at.muscle, at.area, at.side)
            names[key] = where.words_of(at, known)
            times = found.setdefault(key, [])
            if not times or times[-1][0].pk != visit.pk:
                times.append((visit, []))
            times[-1][1].append(row)
    beside = {visit: len({where.of(row).spot for row in rows}) - 1 for visit, rows in entries.items()}
    order = sorted(found, key=lambda key: (not key[0], -len(found[key]), names[key]))
    return tuple(
        TreatedPlace(
            names[key],
            bool(key[0]),
            tuple(_time(visit, rows, key, beside[visit.pk], around) for visit, rows in found[key]),
        )
        for key in order
    )


def _time(
    visit: Visit,
    rows: Sequence[TreatmentEntry],
    key: tuple[str, str, str],
    beside: int,
    around: Around,
) -> Treated:
    muscle, _, side = key
    after = around.next(visit.pk)
    return Treated(
        visit=visit.pk,
        on=day(visit.started_at, around.zone),
        done=", ".join(dict.fromkeys(techniques.label_of(row.technique).lower() for row in rows)),
        pain="; ".join(filter(None, (_pain(row) for row in rows))),
        pattern=_pattern(visit, after, (muscle, side), around) if muscle else "",
        score=_score(visit, after, around),
        beside=_beside(beside),
    )


def _beside(count: int) -> str:
    if not count:
        return "nothing else treated that day"
    return f"{'one other place' if count == 1 else f'{count} other places'} treated that day"


def _pain(row: TreatmentEntry) -> str:
    before, after = ("not asked" if each is None else str(each) for each in (row.pain_before, row.pain_after))
    return "" if row.pain_before is None and row.pain_after is None else f"{before} to {after}"


def _pattern(visit: Visit, after: Visit | None, at: tuple[str, str], around: Around) -> str:
    """ "64 % drawn, 20 % at the next visit"; "" for a muscle that the atlas does not hold."""
    now = around.shares.get(visit.pk)
    then = around.shares.get(after.pk) if after else None
    if not any(at in shares for shares in (now, then) if shares is not None):
        return ""
    said = f"{percent(now[at])} drawn" if now is not None else NOT_DRAWN
    if after is None:
        return f"{said}; no visit since"
    return f"{said}, {percent(then[at]) if then is not None else NOT_DRAWN} at the next visit"


def _score(visit: Visit, after: Visit | None, around: Around) -> str:
    """ "6, then 4"; "" where neither visit has the score."""
    if around.score is None:
        return ""
    known = {value.visit: f"{value.number:g}" for value in around.score.values}
    now = known.get(visit.pk, "not asked")
    if after is None:
        return f"{now}; no visit since"
    then = known.get(after.pk, "not asked")
    return "" if now == then == "not asked" else f"{now}, then {then}"
