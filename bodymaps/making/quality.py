"""How good the ranking is: `make bench-ranking` prints tables and writes out/ranking-quality.json.

1. Recovery: every muscle drawn 50 times from its own pattern by two noise models; is it among the first?
2. Redraw stability: drawn twice by one patient, does the top of the ranking stay the same?
3. Handbook rows: are the muscles a handbook names for a place among the first?
4. The same with plain indices in place of the shipped score (plain).
5. Pairs: two muscles drawn together, does the smallest set that explains the drawing hold both?

Fixed seeds; a few minutes on two cores. `--drawings 5` for a quick look, `--out FILE` for another place.
"""

from __future__ import annotations

import argparse
import json
import os
import time
from collections import Counter
from collections.abc import Sequence
from concurrent.futures import ProcessPoolExecutor
from pathlib import Path
from statistics import mean, median, pstdev
from typing import Any

from bodymaps import alike, atlas, matching
from bodymaps.making import guide, tables, trials
from bodymaps.making.plain import METRICS, SHIPPED
from bodymaps.making.tables import FIRSTS, TARGETS, TOPS
from bodymaps.making.trials import DRAWINGS, MODELS, PAIRS, REDRAWN, PairTrial, Trial

OUT = Path("out/ranking-quality.json")
WORST = 10


def measured(drawings: int = DRAWINGS, pairs: int = PAIRS) -> dict[str, Any]:
    """Everything, as plain data."""
    again = round(drawings * REDRAWN / DRAWINGS)
    started, found = time.perf_counter(), {}
    with ProcessPoolExecutor(os.cpu_count()) as pool:
        tasks = {
            model: [pool.submit(trials.muscle_trials, model, one, drawings, again) for one in _muscles()]
            for model in MODELS
        }
        both = {
            model: [pool.submit(trials.pair_trial, model, *pair) for pair in trials.pairs(pairs)]
            for model in MODELS
        }
        for model in MODELS:
            done = [trial for task in tasks[model] for trial in task.result()]
            found[model] = {
                **_of_trials(done),
                "pairs": _of_pairs([task.result() for task in both[model]]),
            }
    return {
        "ranking": matching.parameters().version,
        "atlas": atlas.load().version,
        "muscles": len(_muscles()),
        "drawings": drawings,
        "targets": TARGETS,
        "models": found,
        "rows": _of_rows(),
        "rows_all_ways": {metric: _of_ways(guide.WAYS, metric) for metric in METRICS},
        "same_area": {one: list(others) for one, others in alike.same_area(atlas.load()).items()},
        "seconds": round(time.perf_counter() - started, 1),
    }


def _muscles() -> list[str]:
    return list(atlas.load().muscles)


def _of_trials(done: Sequence[Trial]) -> dict[str, Any]:
    groups, muscles = _by(done, "group"), _by(done, "muscle")
    by_muscle = {name: _of_muscle(trials) for name, trials in muscles.items()}
    return {
        "agreement": _agreement(done),
        "recovery": {metric: recovery(done, metric) for metric in METRICS},
        "body_parts": {
            group: {"drawings": len(some), **{metric: recovery(some, metric) for metric in METRICS}}
            for group, some in groups.items()
        },
        "redraw": {metric: _stability(done, metric) for metric in METRICS},
        "by_muscle": by_muscle,
        "worst": sorted(by_muscle, key=lambda one: (by_muscle[one]["top3"], by_muscle[one]["top1"]))[:WORST],
        "top3_but_for_same_area": _but_for_twins(done),
    }


def _by(done: Sequence[Trial], word: str) -> dict[str, list[Trial]]:
    found: dict[str, list[Trial]] = {}
    for trial in done:
        found.setdefault(getattr(trial, word), []).append(trial)
    return found


def recovery(done: Sequence[Trial], metric: str = SHIPPED) -> dict[str, float]:
    """The share of drawings whose muscle, on its side, is among the first 1, 3 and 5."""
    ranks = [trial.ranks[metric] for trial in done]
    return {f"top{top}": tables.share(0 < rank <= top for rank in ranks) for top in TOPS}


def _of_muscle(done: Sequence[Trial]) -> dict[str, Any]:
    missed = [trial for trial in done if not 0 < trial.ranks[SHIPPED] <= 3]
    beaten = Counter(name for trial in missed for name in dict.fromkeys(trial.before))
    return {
        **recovery(done),
        "like_pattern": round(mean(trial.like_pattern for trial in done), 3),
        "missed": len(missed),
        "missed_by_site": dict(Counter(trial.site for trial in missed)),
        "before": dict(beaten.most_common(5)),
        "lost": sum(trial.ranks[SHIPPED] == 0 for trial in done),
    }


def _but_for_twins(done: Sequence[Trial]) -> float:
    """Recovery among the first three when muscles that the patterns cannot tell apart count as one."""
    same = alike.same_area(atlas.load())
    return tables.share(
        trial.ranks[SHIPPED] > 0
        and len([one for one in trial.before if one not in same.get(trial.muscle, ())]) < 3
        for trial in done
    )


def _agreement(done: Sequence[Trial]) -> dict[str, float | None]:
    twice = [trial.like_other for trial in done if trial.like_other is not None]
    pattern = [trial.like_pattern for trial in done]
    far = [trial.edges_mm for trial in done if trial.edges_mm is not None]
    return {
        "two_drawings": round(mean(twice), 3),
        "two_drawings_sd": round(pstdev(twice), 3),
        "two_drawings_edges_mm": round(median(far), 1) if far else None,
        "with_pattern": round(mean(pattern), 3),
        "with_pattern_sd": round(pstdev(pattern), 3),
    }


def _stability(done: Sequence[Trial], metric: str) -> dict[str, float]:
    twice = [trial for trial in done if trial.same_first]
    return {
        "same_first": tables.share(trial.same_first[metric] for trial in twice),
        "same_three": tables.share(trial.same_three[metric] for trial in twice),
    }


def _of_pairs(done: Sequence[PairTrial]) -> dict[str, Any]:
    return {
        "pairs": len(done),
        "both": tables.share(one.found == 2 for one in done),
        "both_by_area": tables.share(one.alike == 2 for one in done),
        "both_told": tables.share(one.told == 2 for one in done),
        "at_least_one": tables.share(one.found >= 1 for one in done),
        "mean_sources": round(mean(one.parts for one in done), 2),
        "mean_share": round(mean(one.share for one in done), 3),
    }


def _of_rows() -> dict[str, Any]:
    """By way of drawing and index: the share of all named muscles among the first; by row the shipped one."""
    return {
        way: {
            "all": {metric: _of_ways((way,), metric) for metric in METRICS},
            "rows": {row.id: _of_row(row, way) for row in guide.rows()},
        }
        for way in guide.WAYS
    }


def _of_ways(ways: Sequence[str], metric: str) -> dict[str, float]:
    places = [
        place for way in ways for row in guide.rows() for place in guide.places(row, way)[metric].values()
    ]
    return {f"first{first}": tables.share(0 < place <= first for place in places) for first in FIRSTS}


def _of_row(row: guide.Row, way: str) -> dict[str, Any]:
    places = guide.places(row, way)[SHIPPED]
    return {
        **{f"first{first}": sum(0 < place <= first for place in places.values()) for first in FIRSTS},
        "named": len(places),
        "first_named": next(iter(places.values())),
        "missing": {muscle: place for muscle, place in places.items() if not 0 < place <= 12},
    }


def main(words: Sequence[str] | None = None) -> int:
    parser = argparse.ArgumentParser(prog="python -m bodymaps.making.quality")
    parser.add_argument("--drawings", type=int, default=DRAWINGS)
    parser.add_argument("--pairs", type=int, default=PAIRS)
    parser.add_argument("--out", type=Path, default=OUT)
    chosen = parser.parse_args(words)
    found = measured(chosen.drawings, chosen.pairs)
    chosen.out.parent.mkdir(parents=True, exist_ok=True)
    chosen.out.write_text(json.dumps(found, indent=1, ensure_ascii=False) + "\n", encoding="utf-8")
    print("\n".join(tables.lines(found)))
    print(f"\nwritten to {chosen.out}")
    return 0


if __name__ == "__main__":
    raise SystemExit(main())
