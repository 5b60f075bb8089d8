"""Tests with a published ratio, alone and together; how findings are graded."""

from bodymaps import words
from bodymaps.reasoning import items, ratios_file
from bodymaps.reasoning.ratios import About, ClusterRule, Rates, Row, SingleRule
from charting.rules.sections.told import Section, Told

FILES = f"{ratios_file.FILE}, {ratios_file.JOINTS}"


def sections() -> tuple[Section, ...]:
    return (_clusters(), _singles())


def _clusters() -> Section:
    data = ratios_file.load()
    about = "A printed ratio is used as it is printed, and only when no untested item could change the row."
    found = tuple(_cluster(one) for one in data.clusters)
    return Section("clusters", "Tests taken together", about, FILES, data.version, found)


def _cluster(rule: ClusterRule) -> Told:
    rows = [
        (f"{_positives(one)} positive", f"ratio {one.lr:g}. {_says(one.says, rule.about)}")
        for one in rule.rows
    ]
    limits = [("Limits", words) for words in rule.limits]
    lines = (("Population", rule.population), *rows, *limits)
    return Told(rule.id, rule.title, lines, (f"{rule.source} ({rule.status})",))


def _positives(row: Row) -> str:
    return str(row.least) if row.least == row.most else f"{row.least} to {row.most}"


def _singles() -> Section:
    data = ratios_file.load()
    about = "Never multiplied with each other: they go together."
    found = tuple(_single(one) for one in data.singles)
    return Section("tests", "Single tests", about, FILES, data.version, found)


def _single(rule: SingleRule) -> Told:
    label = items.findings().items[rule.test.key].label
    ratios = [
        (f"If {result}", f"ratio {round(lr, 2):g}. {_says(rule.says.get(result, ''), rule.about)}".strip())
        for result, lr in rule.lr.items()
    ]
    said = [
        (f"If {result}", _says(told, rule.about))
        for result, told in rule.says.items()
        if told and result not in rule.lr
    ]
    limits = [("Limits", words) for words in rule.limits]
    lines = (*_population(rule.population), *_rates(rule.rates), *ratios, *said, *limits)
    return Told(rule.id, f"{label}: {rule.about.name}", lines, (f"{rule.source} ({rule.status})",))


def _says(told: str, about: About) -> str:
    return words.sentence_case(told.format(it=about.name))


def _population(said: str) -> tuple[tuple[str, str], ...]:
    return (("Population", said),) if said else ()


def _rates(rates: Rates | None) -> tuple[tuple[str, str], ...]:
    if not rates:
        return ()
    sensitivity, specificity = (words.percent(one) for one in rates)
    return (("Figures", f"sensitivity {sensitivity}, specificity {specificity}"),)
