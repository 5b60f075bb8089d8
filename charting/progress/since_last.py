"""What has changed since the last drawing, as plain data for the note of a visit."""

from typing import Any

from bodymaps.compare import Compared, compare
from bodymaps.compare_file import rules
from charting.drawing.among import painted_among
from charting.progress.compare_pages import cm2, percent
from charting.progress.compare_queries import last_drawn_before, sizes_of
from charting.progress.plots import day
from charting.visits.models import Visit


def since_last(visit: Visit) -> dict[str, Any] | None:
    """This visit's drawing over the last one before it; None when either of the two is missing.

    Plain data (strings, numbers, lists): `before` (day), `sentences`, `numbers` with cm² of the figure and
    percent of the body surface to one decimal, `jaccard` (two decimals, or None), `sides` and `limbs` in
    words, `spread` with its source.
    """
    found = last_drawn_before(visit)
    now = painted_among((visit,))[visit.pk] if found else None
    if found is None or now is None or not now.is_told:
        return None
    last, before = found
    height, weight = sizes_of(visit, last)
    compared = compare(before.marks, now.marks, height, weight)
    return {
        "rules": rules().version,
        "before": day(last.started_at, visit.patient.practice.zone),
        "before_visit": str(last.pk),
        **as_data(compared),
    }


def as_data(found: Compared) -> dict[str, Any]:
    jaccard, redraw = found.likeness.jaccard, rules().redraw
    return {
        "sentences": _sentences(found),
        "numbers": {
            name: {"cm2": round(amount.cm2, 1), "percent": round(amount.percent, 2)}
            for name, amount in vars(found.change).items()
        },
        "jaccard": None if jaccard is None else round(jaccard, 2),
        "likeness": found.likeness.words,
        "spread": {"mean": redraw.mean, "sd": redraw.sd, "source": redraw.source, "status": redraw.status},
        "kinds": [one.words for one in found.kinds],
        "sides": [one.words for one in found.sides if one.direction != "none"],
        "limbs": [one.words for one in found.limbs],
        "lost": list(found.lost),
        "gained": list(found.gained),
    }


def _sentences(found: Compared) -> list[str]:
    change = found.change
    said = [
        f"{name}: {cm2(amount.cm2)} cm² of the figure, {percent(amount.percent)} of the body surface."
        for name, amount in (("Gone", change.gone), ("New", change.new), ("Unchanged", change.unchanged))
    ]
    moved = [one.words for one in found.sides if one.direction in ("towards", "away")]
    return [*said, *moved]
