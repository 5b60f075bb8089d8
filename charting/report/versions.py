"""Which release of figure, atlas and rules a note was made with."""

from functools import cache

from bodymaps import figure, marks
from bodymaps.reasoning import (
    evidence_rules,
    felt,
    flag_rules,
    items,
    neck_rule,
    ranges,
    ratios_file,
    signs,
)
from charting.assessment import certainty
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
        "muscle_signs": felt.load().version,
        "ranges": ranges.load().version,
        "joints": _in_file("joints.toml"),
        "clusters_joints": _in_file("clusters_joints.toml"),
        "examine_next": _in_file("examine_next.toml"),
        "certainty": certainty.load().version,
    }


@cache
def _in_file(name: str) -> str:
    return str(evidence_rules.load(name)["version"])
