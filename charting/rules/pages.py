"""What the page of rules may use: every rule that reasons about a person, with its source."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import cache

from bodymaps.atlas import Atlas
from bodymaps.reasoning import (
    condition_words,
    evidence,
    evidence_rules,
    flag_rules,
    flags,
    items,
    neck_rule,
    ratios_file,
    same_area,
    signs,
)
from bodymaps.reasoning.ratios import ClusterRule, Row, SingleRule
from bodymaps.reasoning.signs import Candidate
from bodymaps.words import sentence_case
from charting.patterns.queries import atlas_for
from charting.staff.models import User


@dataclass(frozen=True)
class Told:
    """One rule as a person reads it: what it is called, `lines` of (what, words), who says so."""

    id: str
    title: str
    lines: tuple[tuple[str, str], ...]
    sources: tuple[str, ...]


@dataclass(frozen=True)
class Section:
    """Rules of one kind. `file`: where they are written."""

    id: str
    title: str
    about: str
    file: str
    version: str
    rules: tuple[Told, ...]

    def counted(self, status: str) -> int:
        """How many of the rules name a source of this status."""
        return sum(any(f"({status})" in source for source in rule.sources) for rule in self.rules)

    @property
    def checked(self) -> int:
        return self.counted("checked")

    @property
    def from_memory(self) -> int:
        return self.counted("from memory")

    @property
    def practice(self) -> int:
        return self.counted("common practice")


@dataclass(frozen=True)
class RulesPage:
    sections: tuple[Section, ...]


def rules_page(user: User) -> RulesPage:
    known = atlas_for(user.practice)
    return RulesPage((*_general(), _evidence(known), _same_area(known)))


@cache
def _general() -> tuple[Section, ...]:
    """What does not depend on the atlas of a practice."""
    return (_flags(), _asked(), _neck_rule(), _clusters(), _singles(), _signs(), _scales())


def _flags() -> Section:
    data = flag_rules.flags()
    return Section(
        "danger",
        "Danger signs",
        "Raised from drawing, story and findings. Not sure counts as yes. The first two levels hold "
        "treatment back until a decision is recorded.",
        "flags.toml",
        data.version,
        tuple(_flag(rule, data.level_words) for rule in flags.rules()),
    )


def _flag(rule: flags.Rule, level_words: Mapping[str, str]) -> Told:
    graded = [(level_words[one.level], f"{one.words} When: {one.condition}.") for one in rule.entries]
    actions = [(f"What to do: {level_words[level]}", words) for level, words in rule.actions.items()]
    differs = [("Where studies differ", words) for words in rule.differs]
    lines = (("Why", rule.why), *graded, *actions, *differs)
    return Told(rule.id, rule.title, lines, tuple(_with_status(source) for source in rule.sources))


def _with_status(source: str) -> str:
    """A source as the flags give it says nothing where it was checked."""
    return source if source.endswith((" (from memory)", " (common practice)")) else f"{source} (checked)"


def _asked() -> Section:
    return Section(
        "asked-on",
        "What is asked further",
        "Questions and measurements that a drawing or an answer calls for.",
        "asked.toml",
        "",
        tuple(
            Told(
                f"asked-{number}",
                one.group.title,
                (
                    ("Asked", "; ".join(item.label for item in one.items)),
                    ("When", f"{sentence_case(condition_words.in_words(one.when))}."),
                ),
                ("as the danger signs they are for (common practice)",),
            )
            for number, one in enumerate(flag_rules.asked(), 1)
        ),
    )


def _neck_rule() -> Section:
    rule, catalogue = neck_rule.rule(), items.history().items
    named = ", ".join
    steps = (
        ("Asked", "After an injury, with pain of the neck, of somebody alert."),
        (
            "Not for",
            f"Under {rule.least_age} years; {_labels(rule.not_for)}.",
        ),
        (
            "1. Any of these: image",
            f"{rule.old_age} years and more; {_labels(rule.high_risk)}.",
        ),
        (
            "2. None of these: image",
            f"{named(catalogue[key].label for key in rule.low_risk)}; no tenderness in the middle.",
        ),
        ("3. Cannot turn this far to both sides: image", f"{rule.least_rotation} degrees, actively."),
    )
    told = Told("c-spine", "Canadian C-spine rule", steps, (f"{rule.source} ({rule.status})",))
    about = "For a neck hurt in an injury. What was not asked is never taken for the harmless answer."
    return Section("neck", "Neck after an injury", about, neck_rule.FILE, rule.version, (told,))


def _labels(keys: Iterable[str]) -> str:
    return "; ".join(items.history().items[key].label for key in keys)


def _clusters() -> Section:
    data = ratios_file.load()
    about = "A printed ratio is used as it is printed, and only when no untested item could change the row."
    found = tuple(_cluster(one) for one in data.clusters)
    return Section("clusters", "Tests taken together", about, "clusters.toml", data.version, found)


def _cluster(rule: ClusterRule) -> Told:
    rows = [(f"{_positives(one)} positive", f"ratio {one.lr:g}. {one.says}") for one in rule.rows]
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
    lines = (*_population(rule.population), *ratios, *said, *limits)
    return Told(rule.id, f"{label}: {rule.about.name}", lines, (f"{rule.source} ({rule.status})",))


def _population(words: str) -> tuple[tuple[str, str], ...]:
    return (("Population", words),) if words else ()


def _signs() -> Section:
    data = signs.load()
    about = "Which findings speak for which root, plexus and nerve. Not tested says nothing."
    found = (*(_nerve(*one) for one in enumerate(data.candidates, 1)), *_apart(data))
    return Section("nerves", "Signs of roots and nerves", about, "nerve_signs.toml", data.version, found)


def _nerve(number: int, one: Candidate) -> Told:
    """A nerve may stand there in several parts."""
    lists = (("Expected", one.main), ("Some have", one.also), ("Tests", one.tests))
    lines = [(what, "; ".join(_sign(sign) for sign in found)) for what, found in lists if found]
    lines += [("Note", one.note)] if one.note else []
    sources = tuple(f"{source.work} ({source.status})" for source in one.sources)
    return Told(f"{one.id}-{number}", sentence_case(one.name), tuple(lines), sources)


def _sign(name: str) -> str:
    item = items.findings().items[signs.sign(name).keys[0]]
    group = next(group for group in items.findings().groups if group.id == item.group)
    return f"{group.title.partition(',')[0].lower()} {item.label}"


def _apart(data: signs.Signs) -> tuple[Told, ...]:
    names = {(one.layer, one.id): one.name for one in data.candidates}
    return tuple(
        Told(
            f"apart-{number}",
            f"{sentence_case(names[one.between[0]])} or {names[one.between[1]]}",
            (("Told apart by", one.words),),
            tuple(f"{source.work} ({source.status})" for source in one.sources),
        )
        for number, one in enumerate(data.apart, 1)
    )


def _scales() -> Section:
    catalogue = items.findings()
    found = tuple(
        Told(
            f"scale-{scale.id}",
            scale.name,
            tuple((grade.id, grade.words) for grade in scale.grades),
            (f"{scale.source} ({scale.status})",),
        )
        for scale in catalogue.scales.values()
    )
    about = "How findings are graded. Grades are ranks: never added up or averaged. NT is never normal."
    return Section("scales", "Scales", about, "findings.toml", catalogue.version, found)


def _evidence(known: Atlas) -> Section:
    numbers = evidence_rules.arithmetic()
    about = (
        f"What speaks for and against each candidate. A published ratio weighs {numbers.step:g} times its "
        f"natural logarithm; a line of common practice is taken for a ratio of {numbers.weak:g} or "
        f"{numbers.moderate:g}. Of lines about the same thing the strongest counts."
    )
    found = tuple(_rule(rule, known) for rule in evidence.rules())
    return Section("evidence", "Evidence", about, "evidence.toml", "", found)


def _rule(rule: evidence_rules.Rule, known: Atlas) -> Told:
    side = f", {rule.side} side" if rule.side else ""
    own = ", in the candidate's own area" if rule.own else ""
    lines = [("When", f"{sentence_case(condition_words.in_words(rule.condition))}{own}{side}.")]
    for what, keys, words, weight, ratio in (
        ("For", rule.speaks_for, rule.words, rule.weight, rule.ratio),
        ("Against", rule.against, rule.words_against, rule.weight_against, rule.ratio_against),
    ):
        if keys:
            said = f"ratio {ratio:g}, " if ratio else ""
            lines.append((what, f"{_candidates(keys, known)}. {words} ({said}weight {weight:+.2f})"))
    return Told(rule.id, sentence_case(rule.about), tuple(lines), (f"{rule.source} ({rule.status})",))


WHOLE_LAYERS = {
    "muscle": "every muscle",
    "root": "every root",
    "plexus": "every plexus",
    "peripheral_nerve": "every nerve",
    "joint_referral": "every joint",
    "visceral": "every organ",
}


def _candidates(keys: Iterable[tuple[str, str]], known: Atlas) -> str:
    """Names; a layer that is named whole by its word."""
    chosen = tuple(keys)
    every = set(evidence_rules.keys_of(known))
    said = []
    for layer, words in WHOLE_LAYERS.items():
        here = [name for of, name in chosen if of == layer]
        if here and {(layer, name) for name in here} == {key for key in every if key[0] == layer}:
            said.append(words)
        else:
            said += [_name(layer, name, known) for name in here]
    return sentence_case(", ".join(said))


def _name(layer: str, name: str, known: Atlas) -> str:
    if layer == "muscle":
        return known.muscles[name].name
    return f"root {name}" if layer == "root" else known.structures[layer][name].name


def _same_area(known: Atlas) -> Section:
    about = (
        "Sources that patterns cannot tell apart, or that are taken for each other, and what separates them."
    )
    found = tuple(
        Told(
            one.id,
            one.title,
            (("Members", _candidates(one.members, known)), *(("Examine", words) for words in one.examine)),
            (f"{one.source} ({one.status})",),
        )
        for one in same_area.separations()
    )
    return Section("same-area", "Same area", about, "separates.toml", "", found)
