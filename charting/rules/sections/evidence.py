"""What speaks for and against each candidate, and what lies in the same area."""

from collections.abc import Iterable

from bodymaps.atlas import Atlas
from bodymaps.reasoning import condition_words, evidence, evidence_rules, same_area
from bodymaps.words import sentence_case
from charting.rules.sections.told import Section, Told


def sections(known: Atlas) -> tuple[Section, ...]:
    return (_evidence(known), _same_area(known))


def _evidence(known: Atlas) -> Section:
    numbers = evidence_rules.arithmetic()
    about = (
        f"What speaks for and against each candidate. A published ratio weighs {numbers.step:g} times its "
        f"natural logarithm; a line of common practice is taken for a ratio of {numbers.weak:g} or "
        f"{numbers.moderate:g}. Of lines about the same thing the strongest counts."
    )
    found = tuple(_rule(rule, known) for rule in evidence.rules())
    version = evidence_rules.load(evidence_rules.FILES[0])["version"]
    return Section("evidence", "Evidence", about, "evidence.toml", version, found)


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
