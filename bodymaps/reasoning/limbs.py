"""Feeling, strength and reflexes limb by limb: what the leading roots and nerves of one would show, and what
of it nobody has tried yet.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from functools import cache

from bodymaps.atlas import SIDES, Atlas
from bodymaps.reasoning import evidence_nerves, items, neuro, signs
from bodymaps.reasoning.case import Case
from bodymaps.reasoning.evidence import Judged
from bodymaps.reasoning.evidence_nerves import Screen
from bodymaps.reasoning.evidence_rules import Key
from bodymaps.reasoning.items import Item
from bodymaps.reasoning.signs import ROOT
from bodymaps.reasoning.standing import Standing

CLINIC = "reflex_clinic"


@dataclass(frozen=True, eq=False)
class Limb:
    """The leading roots and nerves (`targets`) of one limb and side; `screen` None beside the limbs."""

    screen: Screen | None
    side: str
    targets: tuple[Judged, ...]
    standing: Standing

    @property
    def name(self) -> str:
        return self.screen.name if self.screen else ""

    @property
    def is_untouched(self) -> bool:
        """Whether nothing of feeling, strength and reflexes of the limb is on record on this side."""
        keys = _keys(self.screen, self.standing.atlas) if self.screen else frozenset()
        return not any(key in keys and side == self.side for key, side in self.standing.facts.case.findings)

    @property
    def every_sign(self) -> tuple[str, ...]:
        """What a screen of the limb tests: the main signs of its roots; () beside the limbs."""
        return _signs(self.screen) if self.screen else ()

    def left(self, *targets: Judged) -> tuple[str, ...]:
        """The main signs of targets that nobody has tried on this side, each once."""
        every = dict.fromkeys(sign for one in targets for sign in main(one))
        return tuple(sign for sign in every if not self._tried(sign))

    def _tried(self, sign: str) -> bool:
        case = self.standing.facts.case
        return any(case.finding(key, self.side) is not None for key in signs.load().signs[sign].keys)

    def with_(self, abnormal: Iterable[str], normal: Iterable[str]) -> Case:
        """The case with signs found abnormal and normal."""
        case, lost = self.standing.facts.case, tuple(abnormal)
        added = {
            (found.key, self.side): _grade(found, sign in lost)
            for sign in (*lost, *normal)
            for found in [item(sign, case)]
        }
        return replace(case, findings={**case.findings, **added})

    def words(self, sign: str) -> str:
        """What a sign is called: "reflex (brachioradialis)"."""
        found = item(sign, self.standing.facts.case)
        label = _lowered(found.label) if found.group in neuro.LOWERED else found.label
        return f"{_lowered(signs.load().said.get(found.group, found.group))} ({label})"


def of(standing: Standing) -> Iterator[Limb]:
    """Each limb and side with a leading root or nerve, right before left, arms first, the trunk last."""
    for side in SIDES:
        targets = [one for one in standing.leading if one.side == side and main(one)]
        for screen in (*evidence_nerves.known().screens, None):
            here = tuple(one for one in targets if _limb(_key(one), standing.atlas) == screen)
            if here:
                yield Limb(screen, side, here, standing)


def main(one: Judged) -> tuple[str, ...]:
    """The losses that are expected of a candidate, as ids of signs; () of what is no root or nerve."""
    return evidence_nerves.main_losses().get(_key(one), ())


def item(sign: str, case: Case) -> Item:
    """The finding a sign is tested as: touch before pin prick, reflexes on the scale of the case."""
    keys = signs.load().signs[sign].keys
    clinic = any(key.startswith(CLINIC) for key, _ in case.findings)
    chosen = next((key for key in keys if clinic and key.startswith(CLINIC)), keys[0])
    return items.findings().items[chosen]


def told_apart(limb: Limb, sign: str = "") -> Iterator[str]:
    """What tells two of the targets apart; by one sign where one is named."""
    targets = {_key(one) for one in limb.targets}
    for one in signs.load().apart:
        if targets.issuperset(one.between) and (not sign or sign in one.examine):
            yield one.words


def _grade(found: Item, lost: bool) -> str:
    """The nearest grade below the normal ones, or the normal one."""
    scale = items.findings().scale_of(found)
    if not lost:
        return scale.normal
    order = [grade.id for grade in scale.grades]
    return order[order.index(scale.within_normal[0]) - 1]


def _key(one: Judged) -> Key:
    return (one.layer, one.id)


@cache
def _limb(key: Key, atlas: Atlas) -> Screen | None:
    """The screen a root or nerve belongs to, a nerve by its roots; None for what lies elsewhere."""
    roots = {key[1]} if key[0] == ROOT else set(atlas.structures[key[0]][key[1]].roots)
    return next((one for one in evidence_nerves.known().screens if one.roots & roots), None)


@cache
def _signs(screen: Screen) -> tuple[str, ...]:
    losses: Mapping[Key, tuple[str, ...]] = evidence_nerves.main_losses()
    roots = [key for key in losses if key[0] == ROOT and key[1] in screen.roots]
    return tuple(dict.fromkeys(sign for key in roots for sign in losses[key]))


@cache
def _keys(screen: Screen, atlas: Atlas) -> frozenset[str]:
    """The findings that belong to a limb: all main signs of its roots and nerves."""
    losses, known = evidence_nerves.main_losses(), signs.load().signs
    mine = [key for key in losses if _limb(key, atlas) == screen]
    return frozenset(key for one in mine for sign in losses[one] for key in known[sign].keys)


def _lowered(text: str) -> str:
    return text[:1].lower() + text[1:]
