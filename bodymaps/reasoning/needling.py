"""What stands against a needle in this person, this muscle, this visit, by the rules of needling_file.

A gate says what is so, how heavily it weighs and who says so. It never says that needling is safe. What was
not asked is a gate of its own.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from bodymaps.patterns import SIDES, Atlas, AtRisk
from bodymaps.reasoning import conditions, consent_areas, items
from bodymaps.reasoning.case import Case
from bodymaps.reasoning.conditions import Facts
from bodymaps.reasoning.drawn import Drawn
from bodymaps.reasoning.needling_file import load
from bodymaps.reasoning.needling_rules import (
    ADVISED,
    GUARDIAN,
    LEVELS,
    Depth,
    LateAdviceText,
    NeedlingError,
    Rule,
    Where,
)

__all__ = [
    "GUARDIAN",
    "LEVELS",
    "Depth",
    "Gate",
    "LateAdviceText",
    "NeedlingError",
    "depth_advice",
    "depth_gates",
    "late_advice",
    "muscle_gates",
    "needs_late_advice",
    "over_lung",
    "person_gates",
    "visit_gate",
    "visit_gates",
]

STRUCTURE, PLACE, PERSON, ASKED, DEPTH, VISIT = "structure", "place", "person", "asked", "depth", "visit"
# What is said of a published depth before its words.
DEPTH_TITLE = "Published depth"


@dataclass(frozen=True)
class Gate:
    """One thing to know before a needle goes in. `level`: "stop" holds the entry back, "caution" and "note"
    are shown. `muscle` and `side`: what it is about, "" for the person or the visit. `overridable`: somebody
    with the right may go on with a reason that prints. `because`: what in the record makes it so. `kind`: one
    of STRUCTURE, PLACE, PERSON, ASKED, DEPTH, VISIT. `met_by`: GUARDIAN where their consent leaves a caution.
    """

    id: str
    level: str
    title: str
    words: str
    source: str
    status: str
    muscle: str = ""
    side: str = ""
    overridable: bool = True
    because: str = ""
    kind: str = PERSON
    met_by: str = ""


def person_gates(case: Case) -> tuple[Gate, ...]:
    """What holds of the person wherever the needle goes, and what nobody has asked yet; stops first."""
    facts = Facts(case, Drawn())
    told = (gate for rule in load().rules if rule.where.is_person for gate in _gates(rule, facts))
    return _by_level((*_not_asked(facts), *told))


def muscle_gates(
    muscle: str, side: str, case: Case, atlas: Atlas, site: str = "", area: str = ""
) -> tuple[Gate, ...]:
    """What holds of this muscle: the structures at risk first, then what the person's answers say of this
    place, places that are not needled, published depths. `area`: the id of the area of consent that a muscle
    lies in which only a practice knows.
    """
    facts = Facts(case, Drawn())
    rules = (rule for rule in load().rules if not rule.where.is_person)
    here = [rule for rule in rules if _counts(rule.where, muscle, site, area)]
    told = (gate for rule in here for gate in _gates(rule, facts, muscle, side))
    structures = tuple(_structures(muscle, side, atlas))
    return (*structures, *_by_level(told), *(_shown(one, muscle, side) for one in depth_advice(muscle, site)))


def depth_advice(muscle: str, site: str = "") -> tuple[Depth, ...]:
    """Published depths that speak of this muscle, the least first."""
    found = [one for one in load().depths if _counts(one.where, muscle, site)]
    return tuple(sorted(found, key=lambda one: one.mm))


def depth_gates(muscle: str, side: str, depth_mm: float, site: str = "") -> tuple[Gate, ...]:
    """A caution for each published depth that `depth_mm` passes: above what is advised, or as deep as where a
    lung was reached or lay on average.
    """
    return tuple(
        _shown(one, muscle, side, depth_mm) for one in depth_advice(muscle, site) if _passes(one, depth_mm)
    )


def visit_gates(needled: Iterable[tuple[str, ...]]) -> tuple[Gate, ...]:
    """What holds of everything needled in one visit: (muscle, side), or (muscle, side, site), each."""
    sides = {side for muscle, side, *site in needled if over_lung(muscle, *site)}
    return (visit_gate("both_sides"),) if sides >= set(SIDES) else ()


def visit_gate(id_: str, because: str = "") -> Gate:
    """One of needling_rules.OF_VISIT, for who knows the visit."""
    return _gate(load().visit[id_], because=because, kind=VISIT)


def over_lung(muscle: str, site: str = "", area: str = "") -> bool:
    """Whether lung lies under it: then depth, length and direction are needed, and late advice. Without a
    site wherever one of its sites is. A muscle that only a practice knows is over the lung unless its area
    (an id or a key of consent_areas) is known not to be.
    """
    one = load().pleura.get(muscle)
    if one is None:
        known = bool(consent_areas.of_muscle(muscle, SIDES[0]))
        lies_in = consent_areas.areas().get(area.partition(" ")[0])
        return not known and (lies_in is None or lies_in.thorax)
    return not one.sites or not site or site in one.sites


def needs_late_advice(muscle: str, site: str = "", area: str = "") -> bool:
    return over_lung(muscle, site, area)


def late_advice() -> LateAdviceText:
    return load().late_advice


def _gates(rule: Rule, facts: Facts, muscle: str = "", side: str = "") -> Iterator[Gate]:
    if rule.when is None:
        yield _gate(rule, muscle, side, kind=PLACE)
    elif rule.when.holds(facts, side):
        yield _gate(rule, muscle, side, because="; ".join(rule.when.because(facts, side)))


def _gate(rule: Rule, muscle: str = "", side: str = "", *, because: str = "", kind: str = PERSON) -> Gate:
    return Gate(
        rule.id,
        rule.level,
        rule.title,
        rule.words,
        rule.source,
        rule.status,
        muscle,
        side,
        rule.overridable,
        because,
        kind,
        rule.met_by,
    )


def _not_asked(facts: Facts) -> Iterator[Gate]:
    asked = load().asked
    for level, keys in (("stop", asked.stop), ("caution", asked.caution)):
        for key in keys:
            item = items.history().items[key]
            applies = not item.only_if or conditions.read(item.only_if).holds(facts)
            if applies and key not in facts.case.history:
                title = asked.title.format(label=item.label)
                yield Gate(f"asked:{key}", level, title, asked.words, asked.source, asked.status, kind=ASKED)


def _structures(muscle: str, side: str, atlas: Atlas) -> Iterator[Gate]:
    """In the order of the file; the words are those of the atlas."""
    found = atlas.muscles.get(muscle)
    at_risk = found.at_risk if found else ()
    if not at_risk:
        yield _gate(load().unknown, muscle, side, kind=STRUCTURE)
    for structure in load().structures.values():
        of_it = [one for one in at_risk if one.structure == structure.id]
        for number, one in enumerate(of_it, 1):
            id_ = f"structure:{structure.id}" + (f":{number}" if number > 1 else "")
            yield Gate(
                id_,
                structure.level,
                structure.title,
                one.words,
                one.source,
                _status(one),
                muscle,
                side,
                kind=STRUCTURE,
            )


def _status(one: AtRisk) -> str:
    """The atlas says it in the source: "..., checked; technique from memory"."""
    return "checked" if "checked" in one.source else "from memory"


def _shown(one: Depth, muscle: str, side: str, depth_mm: float | None = None) -> Gate:
    deep = depth_mm is not None
    words = f"{one.words[:1].upper()}{one.words[1:]}."
    title = f"{depth_mm:g} mm is deeper than published advice" if deep else DEPTH_TITLE
    if deep and one.kind != ADVISED:
        title = f"{depth_mm:g} mm: as deep as where the lung can lie"
    level = "caution" if deep else "note"
    id_ = f"depth:{one.id}"
    return Gate(id_, level, title, words, one.source, one.status, muscle, side, kind=DEPTH)


def _passes(one: Depth, depth_mm: float) -> bool:
    return depth_mm > one.mm if one.kind == ADVISED else depth_mm >= one.mm


def _counts(where: Where, muscle: str, site: str, area: str = "") -> bool:
    """Whether a rule speaks of this muscle; without a site wherever one of its sites is meant."""
    if where.pleura and over_lung(muscle, site, area):
        return True
    if muscle in where.muscles:
        only = (where.sites or {}).get(muscle, ())
        return not only or not site or site in only
    keys = consent_areas.of_muscle(muscle, SIDES[0], site)
    named = {consent_areas.area_of(key).id for key in keys} or {area}
    return bool(named & set(where.areas))


def _by_level(gates: Iterable[Gate]) -> tuple[Gate, ...]:
    return tuple(sorted(gates, key=lambda gate: LEVELS.index(gate.level)))
