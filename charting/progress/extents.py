"""How far the drawn pain reaches, from visit to visit."""

from collections.abc import Iterable, Mapping
from uuid import UUID

from charting.drawing.among import Painted
from charting.progress import spread
from charting.progress.measures import LOWER, Measure, Value
from charting.visits.models import Visit

# Ends of the scale: the first that holds every drawing. Of 100 %, most drawings would be a flat line.
ENDS = (1, 2, 5, 10, 20, 50, 100)
UNIT = "% of the body surface"


def extent_of(visits: Iterable[Visit], painted: Mapping[UUID, Painted]) -> Measure | None:
    """One measure of every visit that says where it hurts; None where none does."""
    told = [(visit, painted[visit.pk]) for visit in visits if painted[visit.pk].is_told]
    if not told:
        return None
    first = told[0][1].percent
    values = tuple(
        Value(
            visit.pk,
            visit.started_at,
            round(one.percent, 2 if one.percent < 1 else 1),
            _words(one),
            _since(first, one.percent) if index else "",
        )
        for index, (visit, one) in enumerate(told)
    )
    known = spread.of_extent()
    last = told[-1][1].percent
    return Measure(
        key="extent",
        title="Extent of the drawing",
        unit=UNIT,
        low=0,
        high=next(end for end in ENDS if end >= max(one.percent for _, one in told) or end == ENDS[-1]),
        better=LOWER,
        values=values,
        change=_change(first, last) if len(values) > 1 else "",
        remark=f"{known.words} That is no error of measurement of one person.",
    )


def _words(one: Painted) -> str:
    return "no pain, says the patient" if one.said_no_pain else shown(one.percent)


def shown(percent: float) -> str:
    """ "4.5 %", "0.84 %"; what is drawn is never printed as nothing."""
    if 0 < percent < 0.005:
        return "under 0.01 %"
    return f"{percent:.2f} %" if 0 < percent < 1 else f"{percent:.1f} %" if percent else "0 %"


def _since(first: float, now: float) -> str:
    if now == first:
        return "the same"
    return f"{shown(abs(now - first))} of the body surface {'less' if now < first else 'more'}"


def _change(first: float, last: float) -> str:
    if first == last:
        return f"{shown(first)} of the body surface as before."
    share = f" ({abs(last - first) / first * 100:.0f} %)" if first else ""
    direction = "less" if last < first else "more"
    course = f"{shown(first)} to {shown(last)} of the body surface: {direction}{share}."
    apart = "no more" if spread.of_extent().holds(first, last) else "more"
    return f"{course} That is {apart} than drawings of the same pain differ by themselves."
