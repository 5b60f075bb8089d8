"""Tests with a published ratio, alone and together; how findings are graded."""

from bodymaps import words
from bodymaps.reasoning import items, ratios_file
from bodymaps.reasoning.ratios import ClusterRule, Rates, Row, SingleRule
from charting.rules.sections.told import Section, Told


def sections() -> tuple[Section, ...]:
    return (_clusters(), _singles())


def _clusters() -> Section:
    data = ratios_file.load()
    about = "A printed ratio is used as it is printed, and only when no untested item could change the row."
    found = tuple(_cluster(one) for one in data.clusters)
    return Section("clusters", "Tests taken together", about, "clusters.toml", data.version, found)


def _cluster(rule: ClusterRule) -> Told:
    rows = [(f"{_positives(one)} positive", f"ratio {one.lr:.3g}. {one.says}") for one in rule.rows]
    limits = [("Limits", words) for words in rule.limits]
    lines = (("Population", rule.population), *rows, *limits)
    return Told(rule.id, rule.title, lines, (f"{rule.source} ({rule.status})",))


def _positives(row: Row) -> str:
    return str(row.least) if row.least == row.most else f"{row.least} to {row.most}"


def _singles() -> Section:
    data = ratios_file.load()
    about = "Never multiplied with each other: they go together."
    found = tuple(_single(one) for one in data.singles)
    return Section("tests", "Single tests", about, "clusters.toml", data.version, found)


def _single(rule: SingleRule) -> Told:
    label = items.findings().items[rule.test.key].label
    ratios = [
        (f"If {result}", f"ratio {lr:.2g}. {rule.says.get(result, '')}".strip())
        for result, lr in rule.lr.items()
    ]
    said = [(f"If {result}", words) for result, words in rule.says.items() if words and result not in rule.lr]
    limits = [("Limits", words) for words in rule.limits]
    lines = (*_population(rule.population), *_rates(rule.rates), *ratios, *said, *limits)
    return Told(rule.id, f"{label}: {rule.about.name}", lines, (f"{rule.source} ({rule.status})",))


def _population(said: str) -> tuple[tuple[str, str], ...]:
    return (("Population", said),) if said else ()


def _rates(rates: Rates | None) -> tuple[tuple[str, str], ...]:
    if not rates:
        return ()
    sensitivity, specificity = (words.percent(one) for one in rates)
    return (("Figures", f"sensitivity {sensitivity}, specificity {specificity}"),)
