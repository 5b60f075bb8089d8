"""How well each nerve root, plexus and peripheral nerve fits what was found on examination.

For a candidate on one side, over the signs (see signs) of that side:

    own       = weight of the abnormal signs it accounts for
    explained = own / weight of all abnormal signs
    expected  = own / (own + weight of its main signs that were tested and are normal)
    amount    = own / (own + weight of one loss)
    score     = at_most x explained x expected x amount                     0 to below 1

A loss (feeling, strength, reflex) weighs 1, a test that brings the symptom on, a half. A sign that only some
sources or some people give to a candidate (`also`) is accounted for by half, and says nothing when normal. A
reflex that is only lower than the other side, or low on both sides alike, weighs half. What was not tested
(NT) or not looked at counts neither way. `amount` keeps one finding alone from reading like a picture: one
loss reaches a half, four reach 0.8. Formula and weights (nerve_signs.toml) are this product's judgement: an
order to examine in, no probability.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from bodymaps.reasoning import items, signs
from bodymaps.reasoning.case import SIDES, Case
from bodymaps.reasoning.items import NOT_TESTED, Item
from bodymaps.reasoning.signs import Apart, Candidate, Sign, Signs

# Enough to order by; less is the noise of adding fractions.
COMPARED = 9
REFLEXES = ("reflex", "reflex_clinic")
SCALES = {"reflex": "NINDS scale", "reflex_clinic": "clinic scale"}
# The grade that is above normal on its scale, with clonus if any.
INCREASED = {"reflex": "4", "reflex_clinic": "4+"}
LOWERED = (*REFLEXES, "nerve_touch", "strength")


@dataclass(frozen=True)
class Fit:
    """A candidate with at least one abnormal finding that speaks for it.

    `layer` is root, plexus or peripheral_nerve, `score` 0 to 1. `fits`: its abnormal findings; `unexplained`:
    the other abnormal findings of that side; `normal_though_expected`: its main signs that are normal. All in
    words, as "Strength, elbow extensors, left: 4". `words` is one sentence.
    """

    layer: str
    id: str
    name: str
    side: str
    score: float
    fits: tuple[str, ...]
    unexplained: tuple[str, ...]
    normal_though_expected: tuple[str, ...]
    words: str


@dataclass(frozen=True)
class Seen:
    """A sign that was tested: how much it weighs when abnormal (0: it is normal), and what was found."""

    sign: Sign
    weight: float
    words: tuple[str, ...]

    @property
    def is_abnormal(self) -> bool:
        return self.weight > 0


def fits(case: Case, data: Signs | None = None) -> tuple[Fit, ...]:
    """Every candidate an abnormal finding speaks for, best first; of the parts of one nerve the best. Ties:
    right before left, roots before plexuses before nerves, then as in the data.
    """
    known = data or signs.load()
    cord = upper_motor(case)
    best: dict[tuple[str, str, str], Fit] = {}
    for side in SIDES:
        seen = {one.sign.id: one for one in _seen(case, side, known)}
        for candidate in known.candidates:
            fit = _fit(candidate, side, seen, known, cord)
            place = (candidate.layer, candidate.id, side)
            if fit and (place not in best or fit.score > best[place].score):
                best[place] = fit
    return tuple(sorted(best.values(), key=lambda fit: -round(fit.score, COMPARED)))


def apart(found: Iterable[Fit], data: Signs | None = None) -> tuple[tuple[str, Apart], ...]:
    """(side, what tells them apart) for every two fits of one side that the data tells apart."""
    there = {(fit.side, fit.layer, fit.id) for fit in found}
    return tuple(
        (side, one)
        for side in SIDES
        for one in (data or signs.load()).apart
        if all((side, *which) in there for which in one.between)
    )


def upper_motor(case: Case) -> tuple[str, ...]:
    """Signs of the cord or the upper motor neuron, in words: Babinski, Hoffmann, clonus, inverted supinator,
    reflexes above normal. They are no signs of a root. NINDS 3 is normal, and 3+ of the clinic alone is not
    one of them.
    """
    found = []
    for (key, side), value in case.findings.items():
        prefix = key.partition(":")[0]
        if (prefix == "cord" and value == "positive") or (prefix in INCREASED and value == INCREASED[prefix]):
            found.append(_words(items.findings().items[key], side, str(value), signs.load()))
    return tuple(found)


def _fit(
    candidate: Candidate, side: str, seen: dict[str, Seen], known: Signs, cord: tuple[str, ...]
) -> Fit | None:
    own = {name: seen[name] for name in candidate.listed if name in seen}
    abnormal = [one for one in own.values() if one.is_abnormal]
    if not abnormal:
        return None
    also = known.weights["also"]
    weight = sum(one.weight * (also if one.sign.id in candidate.also else 1.0) for one in abnormal)
    normal = [own[name] for name in candidate.main if name in own and not own[name].is_abnormal]
    explained = weight / sum(one.weight for one in seen.values())
    expected = weight / (weight + sum(_full(one.sign, known) for one in normal))
    rest = [one for one in seen.values() if one.is_abnormal and one.sign.id not in own]
    amount = weight / (weight + known.weights["loss"])
    return Fit(
        layer=candidate.layer,
        id=candidate.id,
        name=candidate.name,
        side=side,
        score=candidate.at_most * explained * expected * amount,
        fits=_all_words(abnormal),
        unexplained=_all_words(rest),
        normal_though_expected=_all_words(normal),
        words=_sentence(candidate, side, abnormal, rest, normal, cord),
    )


def _sentence(
    candidate: Candidate,
    side: str,
    abnormal: list[Seen],
    rest: list[Seen],
    normal: list[Seen],
    cord: tuple[str, ...],
) -> str:
    what = f"{candidate.name} root" if candidate.layer == signs.ROOT else candidate.name
    count, of_all = len(abnormal), len(abnormal) + len(rest)
    signs_ = "sign" if of_all == 1 else "signs"
    said = f"Consider the {side} {what}: {count} of {of_all} abnormal {signs_} on this side fits it"
    said = said.replace("fits", "fit") if count > 1 else said
    if normal:
        said += f", {len(normal)} that it would explain {'is' if len(normal) == 1 else 'are'} normal"
    if cord:
        said += f"; upper motor neuron signs ({'; '.join(cord)}) are not explained by it"
    return f"{said}."


def _seen(case: Case, side: str, known: Signs) -> Iterator[Seen]:
    for sign in known.signs.values():
        found = [
            (items.findings().items[key], value)
            for key in sign.keys
            if isinstance(value := case.finding(key, side), str) and value != NOT_TESTED
        ]
        judged = [(item, value, _judged(case, item, value, side, known)) for item, value in found]
        judged = [one for one in judged if one[2] is not None]
        if not judged:
            continue
        share = max(one[2] or 0.0 for one in judged)
        told = tuple(
            _words(item, side, value, known) + (_lower(case, item, value, side) if here else "")
            for item, value, here in judged
            if bool(here) == bool(share)
        )
        yield Seen(sign, share * _full(sign, known), told)


def _full(sign: Sign, known: Signs) -> float:
    return known.weights["test" if sign.is_test else "loss"]


def _judged(case: Case, item: Item, value: str, side: str, known: Signs) -> float | None:
    """How abnormal a value counts, 0 (normal) to 1; None where it says nothing of a root or nerve."""
    if item.group in REFLEXES:
        return _reduced(case, item, value, side, known)
    if item.key in known.positive:
        return 1.0 if value == known.positive[item.key] else 0.0
    return 0.0 if value in items.findings().scale_of(item).within_normal else 1.0


def _reduced(case: Case, item: Item, value: str, side: str, known: Signs) -> float | None:
    scale = items.findings().scale_of(item)
    order = [grade.id for grade in scale.grades]
    here, other = order.index(value), _other(case, item, side)
    if here < order.index(scale.within_normal[0]):
        return known.weights["both_sides_alike"] if other == value else 1.0
    if _lower(case, item, value, side):
        return known.weights["lower_than_other_side"]
    return 0.0 if value in scale.within_normal else None


def _lower(case: Case, item: Item, value: str, side: str) -> str:
    """What to add of a reflex that is lower than the other side: the difference matters more than the level.
    Against a side that is itself above normal nothing is low.
    """
    other = _other(case, item, side)
    if item.group not in REFLEXES or other in (None, NOT_TESTED, INCREASED[item.group]):
        return ""
    order = [grade.id for grade in items.findings().scale_of(item).grades]
    return ", lower than the other side" if order.index(value) < order.index(str(other)) else ""


def _other(case: Case, item: Item, side: str) -> str | None:
    value = case.finding(item.key, next(one for one in SIDES if one != side))
    return value if isinstance(value, str) else None


def _words(item: Item, side: str, value: str, known: Signs) -> str:
    label = item.label[:1].lower() + item.label[1:] if item.group in LOWERED else item.label
    said = value if item.scale in ("strength", "reflex_ninds", "reflex_clinic") else _grade(item, value)
    scale = f" ({SCALES[item.group]})" if item.group in SCALES else ""
    return f"{known.said.get(item.group, item.group)}, {label}{f', {side}' if side else ''}: {said}{scale}"


def _grade(item: Item, value: str) -> str:
    return item.words_for(value).partition(":")[0]


def _all_words(seen: Iterable[Seen]) -> tuple[str, ...]:
    return tuple(said for one in seen for said in one.words)
