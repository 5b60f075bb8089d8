"""The tables of the benchmark of the ranking, from the plain data that quality measures."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from typing import Any

from bodymaps.making.plain import METRICS, SHIPPED
from bodymaps.making.trials import MODELS

TOPS = (1, 3, 5)
FIRSTS = (10, 12, 15)
# What is aimed at, by the words of the JSON.
TARGETS = {"top3": 0.95, "top5": 0.98, "same_three": 0.95, "rows_first12": 0.85, "pairs_both": 0.85}
# Who draws the second time: the first model knows a patient, the second draws the same pain all anew.
AGAIN = {"bent": "same patient again", "strokes": "another patient"}
TITLES = {"bent": "first model, bent areas", "strokes": "second model, strokes"}


def share(hits: Iterable[bool]) -> float:
    """The share of them that is true."""
    found = list(hits)
    return round(sum(found) / max(1, len(found)), 4)


def lines(found: Mapping[str, Any]) -> Iterator[str]:
    yield (
        f"Ranking {found['ranking']}, atlas {found['atlas']}: {found['muscles']} muscles, "
        f"{found['drawings']} drawings each by either model, {found['seconds']} s"
    )
    for model, one in found["models"].items():
        yield from _model_table(TITLES[model], AGAIN[model], one)
    for way, rows in found["rows"].items():
        yield from _row_table(way, rows)
    yield from _twin_table(found["same_area"])
    yield from _target_table(found)


def _target_table(found: Mapping[str, Any]) -> Iterator[str]:
    yield "\n== what was aimed at"
    for words, value, target in reached(found):
        said = "" if value >= target else "  missed"
        yield f"{words:64}{_percent(value):>9}  aim {_percent(target):>7}{said}"
    yield "\n== shipped score less each plain index, percentage points"
    for words, by_metric in against_plain(found):
        yield f"{words:60}" + "".join(f"{metric} {100 * by:+.1f}   " for metric, by in by_metric.items())


def reached(found: Mapping[str, Any]) -> Iterator[tuple[str, float, float]]:
    """What was aimed at: in words, what is reached, the aim. Redraws are those of one patient."""
    for model, one in found["models"].items():
        for top in ("top3", "top5"):
            yield f"{TITLES[model]}: {top}", one["recovery"][SHIPPED][top], TARGETS[top]
        yield f"{TITLES[model]}: pairs, both", one["pairs"]["both"], TARGETS["pairs_both"]
    yield (
        f"{TITLES[MODELS[0]]}: redrawn, 2 of the first 3 stay",
        found["models"][MODELS[0]]["redraw"][SHIPPED]["same_three"],
        TARGETS["same_three"],
    )
    for way, rows in found["rows"].items():
        yield f"handbook rows, {way}: first 12", rows["all"][SHIPPED]["first12"], TARGETS["rows_first12"]
    places = [row["first_named"] for rows in found["rows"].values() for row in rows["rows"].values()]
    yield "handbook rows: first-named among the first 12", share(0 < one <= 12 for one in places), 1.0


def against_plain(found: Mapping[str, Any]) -> Iterator[tuple[str, dict[str, float]]]:
    """By how much the shipped score is better than each plain index (shares; negative: worse)."""
    measures = {
        **{
            f"{TITLES[model]}: {top}": {metric: one["recovery"][metric][top] for metric in METRICS}
            for model, one in found["models"].items()
            for top in ("top1", "top3", "top5")
        },
        **{
            f"{TITLES[model]}: {AGAIN[model]}, {word}": {
                metric: one["redraw"][metric][word] for metric in METRICS
            }
            for model, one in found["models"].items()
            for word in ("same_first", "same_three")
        },
        **{
            f"handbook rows, all ways: first {first}": {
                metric: found["rows_all_ways"][metric][f"first{first}"] for metric in METRICS
            }
            for first in FIRSTS
        },
    }
    for words, by_metric in measures.items():
        yield words, {metric: by_metric[SHIPPED] - by_metric[metric] for metric in METRICS[1:]}


def _model_table(title: str, again: str, one: Mapping[str, Any]) -> Iterator[str]:
    like = one["agreement"]
    yield f"\n== {title}"
    yield (
        f"mean Jaccard: two drawings {like['two_drawings']:.2f} (SD {like['two_drawings_sd']:.2f}; published "
        f"0.62, SD 0.18), drawing and pattern {like['with_pattern']:.2f} (SD {like['with_pattern_sd']:.2f})"
    )
    yield f"edges of two drawings at their worst: median {like['two_drawings_edges_mm']} mm apart (Hausdorff)"
    yield f"\n{'index':14}{'top 1':>8}{'top 3':>8}{'top 5':>8}{again + ': 1st stays':>31}{'2 of 3':>9}"
    for metric in METRICS:
        hit, same = one["recovery"][metric], one["redraw"][metric]
        yield f"{metric:14}{_row(hit)}{_percent(same['same_first']):>31}{_percent(same['same_three']):>9}"
    yield f"muscles of one area taken as one: top 3 {_percent(one['top3_but_for_same_area'])}"
    pairs = one["pairs"]
    yield (
        f"pairs ({pairs['pairs']}): both {_percent(pairs['both'])}, both or one of the same area "
        f"{_percent(pairs['both_by_area'])}, both or named in place of one {_percent(pairs['both_told'])}, "
        f"at least one {_percent(pairs['at_least_one'])}; "
        f"{pairs['mean_sources']} sources explain {_percent(pairs['mean_share'])}"
    )
    yield f"\n{'body part':18}{'drawings':>9}{'top 1':>8}{'top 3':>8}{'top 5':>8}"
    for group, some in one["body_parts"].items():
        yield f"{group:18}{some['drawings']:9}{_row(some[SHIPPED])}"
    yield f"\n{'worst':32}{'top 1':>8}{'top 3':>8}{'top 5':>8}  before it when missed"
    for muscle in one["worst"]:
        some = one["by_muscle"][muscle]
        yield f"{muscle:32}{_row(some)}  {_counts(some['before'])}; sites {_counts(some['missed_by_site'])}"


def _row(hit: Mapping[str, float]) -> str:
    return "".join(f"{_percent(hit[f'top{top}']):>8}" for top in TOPS)


def _percent(share: float) -> str:
    return f"{100 * share:.1f} %"


def _counts(found: Mapping[str, int]) -> str:
    return ", ".join(f"{name} {count}" for name, count in found.items())


def _row_table(way: str, rows: Mapping[str, Any]) -> Iterator[str]:
    yield f"\n== handbook rows, drawn as: {way}"
    yield f"{'index':14}" + "".join(f"{'first ' + str(first):>10}" for first in FIRSTS)
    for metric, some in rows["all"].items():
        yield f"{metric:14}" + "".join(f"{_percent(some[f'first{first}']):>10}" for first in FIRSTS)
    for name, row in rows["rows"].items():
        counts = " / ".join(str(row[f"first{first}"]) for first in FIRSTS)
        missing = ", ".join(f"{muscle} ({place or 'none'})" for muscle, place in row["missing"].items())
        yield f"{name:52} {counts:>12} of {row['named']:2}; first named: {row['first_named']}; {missing}"


def _twin_table(same: Mapping[str, Sequence[str]]) -> Iterator[str]:
    yield "\n== muscles the patterns cannot tell apart"
    for muscle, others in same.items():
        if others:
            yield f"{muscle}: {', '.join(others)}"
