"""Which release of figure, atlas and rules a note was made with."""

from functools import cache

from bodymaps import figure, marks
from bodymaps.reasoning import evidence_rules, flag_rules, items, neck_rule, ratios_file, signs
from charting.candidates.queries import Ranked
from charting.screening import sections


def of(found: Ranked) -> dict[str, str]:
    """Versions by what they are of; "" for what was not computed."""
    return {
        "figure": figure.load().version,
        "painting": marks.RULE,
        "atlas": found.atlas.version,
        "ranking": found.ranking.as_json()["ranking"] if found.ranking else "",
        "explanation": found.explanation.as_json()["explanation"] if found.explanation else "",
        "questions": items.history().version,
        "tests": items.findings().version,
        "sections": sections.load().version,
        "flags": flag_rules.flags().version,
        "asked": _in_file("asked.toml"),
        "neck_rule": neck_rule.rule().version,
        "nerve_signs": signs.load().version,
        "clusters": ratios_file.load().version,
        "evidence": _in_file("evidence.toml"),
        "separates": _in_file("separates.toml"),
    }


@cache
def _in_file(name: str) -> str:
    return str(evidence_rules.load(name)["version"])
