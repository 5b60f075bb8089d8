"""Invented people for the tests of evidence: a drawing, a story, findings; and the same people mirrored."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from bodymaps import atlas, matching
from bodymaps.marks import Mark
from bodymaps.matching import Ranking
from bodymaps.reasoning import case as cases
from bodymaps.reasoning import drawn as drawings
from bodymaps.reasoning import evidence
from bodymaps.reasoning.conditions import Facts
from bodymaps.reasoning.evidence import Evidence, Judged, Line
from tests.bodymaps import drawn

ATLAS = atlas.load()
MIRROR = {"right": "left", "left": "right"}


@dataclass(frozen=True)
class Person:
    """`drawing`: (kind, {region: fraction}) of one side; findings by key and side."""

    drawing: tuple[tuple[str, Mapping[str, float]], ...] = ()
    side: str = "right"
    age: int | None = None
    history: Mapping[str, Any] = field(default_factory=dict)
    findings: Mapping[str, Any] = field(default_factory=dict)

    @property
    def marks(self) -> tuple[Mark, ...]:
        return tuple(
            Mark(region.partition(":")[0], kind, drawn.part(region, self.side, share))
            for kind, regions in self.drawing
            for region, share in regions.items()
        )

    @property
    def facts(self) -> Facts:
        told = {"age": self.age, "history": dict(self.history), "findings": dict(self.findings)}
        return Facts(cases.read(told), drawings.of(self.marks))

    @property
    def ranking(self) -> Ranking:
        return matching.rank(self.marks, ATLAS, something_drawn=bool(self.drawing))

    def judged(self) -> Evidence:
        return evidence.judge(self.ranking, self.facts, ATLAS)


def one(found: Evidence, layer: str, name: str, side: str = "right") -> Judged:
    judged = found.of(layer, name, side)
    assert judged, f"{layer}:{name} on the {side} is not in the order"
    return judged


def line_of(judged: Judged, rule: str) -> Line:
    return next(line for line in judged.lines if line.rule == rule)


def on(side: str, findings: Mapping[str, Any]) -> dict[str, Any]:
    return {key: {side: value} for key, value in findings.items()}


ARM = (
    ("ache", {"back:scapula_medial_border": 0.8, "front:arm_lateral": 0.7, "front:pectoral_upper": 0.4}),
    ("tingling", {"back:thumb_dorsal": 0.9, "back:index_dorsal": 0.9}),
)
NORMAL_ARM = on(
    "right",
    {
        "touch:C5": "2",
        "touch:C6": "2",
        "touch:C7": "2",
        "strength:C5": "5",
        "strength:C6": "5",
        "strength:C7": "5",
    },
)
C6_SIGNS = {
    "touch:C6": {"right": "1"},
    "touch:C7": {"right": "2"},
    "strength:C6": {"right": "4"},
    "reflex:brachioradialis": {"right": "1", "left": "2"},
}
FOUR_TESTS = on(
    "right",
    {
        "tension:median": "positive",
        "neck:distraction": "positive",
        "neck:spurling": "positive",
        "neck:rotation": 50,
    },
)
HAND_ON_HEAD = Person(
    ARM, age=50, history={"eases": ["arm_overhead"], "brings_on": ["carry"]}, findings=NORMAL_ARM
)
C6 = Person(ARM, age=50, history={"brings_on": ["look_up"]}, findings={**C6_SIGNS, **FOUR_TESTS})
CHEST = Person(
    (("pressure", {"front:pectoral_upper": 0.8, "front:sternal": 0.8}), ("ache", {"front:arm_medial": 0.8})),
    side="left",
    age=60,
    history={"brings_on": ["effort"], "chest_effort": "yes"},
)
LOW_BACK = Person(
    (("ache", {"back:iliac_crest_posterior": 0.7, "back:hip_lateral": 0.5, "back:sacroiliac": 0.6}),),
    age=46,
    history={"brings_on": ["roll_in_bed", "cough_sneeze", "rise"], "eases": ["lie_down", "lean_on_arms"]},
)
STIFF_NECK = Person(
    (("ache", {"back:neck_angle": 0.9, "back:neck_posterior": 0.5}),),
    age=29,
    history={"brings_on": ["turn_head", "phone_shoulder"], "eases": ["heat"], "onset": "on_waking"},
)
EVERYBODY = {"hand on head": HAND_ON_HEAD, "C6": C6, "low back": LOW_BACK, "stiff neck": STIFF_NECK}
