"""What is published about how well a test tells: by the key of its finding, ready to be read."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from bodymaps import words
from bodymaps.reasoning import ratios_file
from bodymaps.reasoning.ratios import ClusterRule, Rates, Row, SingleRule

NO_FIGURE = "no figure"


@dataclass(frozen=True)
class Accuracy:
    """One test alone, or with others (`cluster`: the title of the cluster, "" alone), for `about`.

    `lr_positive`, `lr_negative`: likelihood ratios, None where none is known and for a cluster, whose ratios
    stand in `said`. `sensitivity`, `specificity`: 0 to 1, None where not known. `said`: the figures as lines
    to read. `population`: who was studied. `limits`: what to keep in mind. `status`: checked or from memory.
    """

    about: str
    lr_positive: float | None
    lr_negative: float | None
    sensitivity: float | None
    specificity: float | None
    said: tuple[str, ...]
    population: str
    limits: tuple[str, ...]
    source: str
    status: str
    cluster: str = ""


def of(key: str) -> tuple[Accuracy, ...]:
    """What is published of the test with this key, alone first; () when there is no figure."""
    known = ratios_file.load()
    return (
        *(_alone(one) for one in known.singles if one.test.key == key and (one.lr or one.rates)),
        *(_together(one) for one in known.clusters if key in {test.key for test in one.tests}),
    )


def _alone(rule: SingleRule) -> Accuracy:
    return Accuracy(
        about=rule.about.name,
        lr_positive=rule.lr.get("positive"),
        lr_negative=rule.lr.get("negative"),
        sensitivity=rule.rates[0] if rule.rates else None,
        specificity=rule.rates[1] if rule.rates else None,
        said=tuple(_lines(rule)),
        population=rule.population,
        limits=rule.limits,
        source=rule.source,
        status=rule.status,
    )


def _lines(rule: SingleRule) -> Iterator[str]:
    if rule.rates:
        yield _rates_words(rule.rates)
    for result, lr in rule.lr.items():
        low_high = rule.intervals.get(result)
        said = f", 95 % interval {low_high[0]:g} to {low_high[1]:g}" if low_high else ""
        yield f"{result.capitalize()}: ratio {_ratio(lr)}{said}."


def _together(rule: ClusterRule) -> Accuracy:
    return Accuracy(
        about=rule.about.name,
        lr_positive=None,
        lr_negative=None,
        sensitivity=None,
        specificity=None,
        said=tuple(_row_words(rule, row) for row in rule.rows),
        population=rule.population,
        limits=tuple(_limits(rule.limits, rule.rows)),
        source=rule.source,
        status=rule.status,
        cluster=rule.title,
    )


def _limits(shared: Iterable[str], rows: Iterable[Row]) -> Iterator[str]:
    yield from shared
    for row in rows:
        yield from row.limits


def _row_words(rule: ClusterRule, row: Row) -> str:
    of_all = len(rule.tests)
    count = str(row.least) if row.least == row.most else f"{row.least} to {row.most}"
    rates = f" {_rates_words(row.rates)}" if row.rates else ""
    return f"{count} of {of_all} positive: ratio {_ratio(row.lr)}.{rates}"


def _ratio(lr: float) -> str:
    return f"{round(lr, 2):g}"


def _rates_words(rates: Rates) -> str:
    sensitivity, specificity = (words.percent(one) for one in rates)
    return f"Sensitivity {sensitivity}, specificity {specificity}."
