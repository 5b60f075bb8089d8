"""Lines of evidence from the neuro screen: fitting roots, plexuses and nerves; what was tested and is normal;
published ratios of tests and clusters. What was not tested says nothing.

Losses (feeling, strength, reflexes) enter by the score of their fit (see neuro); tests that bring a symptom
on enter by their published ratio (see clusters) or by a rule, so that nothing counts twice.
"""

from __future__ import annotations

import tomllib
from collections.abc import Iterable, Iterator, Mapping, Set
from dataclasses import dataclass, replace
from functools import cache
from typing import Any

from bodymaps.atlas import SIDES, Atlas
from bodymaps.reasoning import clusters, evidence_rules, items, neuro, signs
from bodymaps.reasoning.case import Case
from bodymaps.reasoning.clusters import Cluster, Single
from bodymaps.reasoning.evidence_rules import AGAINST, FOR, Key, Line
from bodymaps.reasoning.items import NOT_TESTED
from bodymaps.reasoning.neuro import Fit
from bodymaps.reasoning.own_areas import Sided
from bodymaps.reasoning.ratios import Ratios
from bodymaps.reasoning.signs import Signs

FITS, NORMAL, RATIO = "nerve_signs_fit", "nerve_signs_normal", "published_ratio"
LOSS, TESTS = "nerve signs", "published tests"


@dataclass(frozen=True)
class Screen:
    """The nerve signs of one limb: normal ones of at least `least` of these roots speak weakly for its
    muscles.
    """

    name: str
    roots: frozenset[str]
    muscle_groups: frozenset[str]
    least: int


@dataclass(frozen=True)
class Known:
    """`ratio_of_fit`: the ratio a fit of score 1 is taken for. `roots`: what the tests of a subject (see
    clusters.toml) are about. `words`: what a line says.
    """

    ratio_of_fit: float
    screens: tuple[Screen, ...]
    roots: Mapping[str, tuple[str, ...]]
    words: Mapping[str, str]
    source: str
    status: str


@cache
def known() -> Known:
    """The part [nerves] of evidence_findings.toml."""
    path = evidence_rules.FOLDER / "evidence_findings.toml"
    told: dict[str, Any] = tomllib.loads(path.read_text(encoding="utf-8"))["nerves"]
    screens = tuple(
        Screen(one["name"], frozenset(one["roots"]), frozenset(one["muscle_groups"]), one["least"])
        for one in told["screen"]
    )
    roots = {about: tuple(found) for about, found in told["roots"].items()}
    return Known(told["ratio_of_fit"], screens, roots, told["words"], told["source"], told["status"])


def of(case: Case, atlas: Atlas, drawn_on: Iterable[Sided]) -> dict[Sided, list[Line]]:
    """The lines of each candidate. `drawn_on`: the candidates in whose area something is drawn: a ratio for
    which no root fits is held against those.
    """
    if not case.findings:
        return {}
    fits = fits_of(case)
    found: dict[Sided, list[Line]] = {}
    for one, line in (*of_losses(case, atlas, fits), *published(case, fits, set(drawn_on))):
        found.setdefault(one, []).append(line)
    return found


def fits_of(case: Case, data: Signs | None = None) -> list[Fit]:
    """What fits the losses of feeling, strength and reflexes, best first. `data`: a part of the signs."""
    return list(neuro.fits(_losses(case), data))


def of_losses(case: Case, atlas: Atlas, fits: list[Fit]) -> Iterator[tuple[Sided, Line]]:
    """The lines of feeling, strength and reflexes, without those of tests that bring a symptom on."""
    losses = _losses(case)
    yield from _fitting(fits)
    yield from _normal(losses, fits)
    yield from _muscles(losses, fits, atlas)


def main_losses() -> Mapping[Key, tuple[str, ...]]:
    """The losses that are expected of each root, plexus and nerve, as ids of signs."""
    return _main_signs()


def _losses(case: Case) -> Case:
    """The case with nothing but feeling, strength and reflexes that were tested."""
    kept = {
        (key, side): value
        for (key, side), value in case.findings.items()
        if value != NOT_TESTED and key in _loss_keys()
    }
    return replace(case, findings=kept)


@cache
def _loss_keys() -> frozenset[str]:
    return frozenset(key for one in signs.load().signs.values() if not one.is_test for key in one.keys)


def _fitting(fits: Iterable[Fit]) -> Iterator[tuple[Sided, Line]]:
    numbers, about = evidence_rules.arithmetic(), known()
    for fit in fits:
        yield (
            (fit.layer, fit.id, fit.side),
            Line(
                rule=FITS,
                speaks=FOR,
                words=fit.words,
                because=fit.fits,
                source=about.source,
                status=about.status,
                weight=numbers.weight(about.ratio_of_fit) * fit.score,
                about=LOSS,
                by_finding=True,
            ),
        )


def _normal(losses: Case, fits: Iterable[Fit]) -> Iterator[tuple[Sided, Line]]:
    """Against what would show: at least two of its main signs (or its only one) are tested and normal."""
    fitting = {(fit.layer, fit.id, fit.side) for fit in fits}
    tried = {(sign, side) for key, side in losses.findings for sign in _signs_of_keys().get(key, ())}
    for side in SIDES:
        for (layer, name), main in _main_signs().items():
            count = sum((sign, side) in tried for sign in main)
            if (layer, name, side) not in fitting and count >= min(2, len(main)):
                tested = _tested(losses, main, side)
                yield (layer, name, side), _common(AGAINST, known().words["normal"], tested, -1)


@cache
def _signs_of_keys() -> dict[str, tuple[str, ...]]:
    """The signs that each finding stands for."""
    found: dict[str, tuple[str, ...]] = {}
    for sign in signs.load().signs.values():
        for key in sign.keys:
            found[key] = (*found.get(key, ()), sign.id)
    return found


@cache
def _main_signs() -> dict[Key, tuple[str, ...]]:
    """The losses that are expected of each candidate, those of all its parts."""
    known_signs = signs.load()
    found: dict[Key, tuple[str, ...]] = {}
    for one in known_signs.candidates:
        main = [name for name in one.main if not known_signs.signs[name].is_test]
        found[one.layer, one.id] = tuple(dict.fromkeys((*found.get((one.layer, one.id), ()), *main)))
    return {key: main for key, main in found.items() if main}


def _tested(losses: Case, names: Iterable[str], side: str) -> tuple[str, ...]:
    """The signs among these that were tested on a side, in words."""
    known_signs = signs.load().signs
    found = (_words(losses, known_signs[name].keys, side) for name in names)
    return tuple(said for said in found if said)


def _words(losses: Case, keys: Iterable[str], side: str) -> str:
    for key in keys:
        value = losses.finding(key, side)
        if value is not None:
            item = items.findings().items[key]
            return f"{_titles()[item.group]}, {item.label}, {side}: {item.words_for(value)}"
    return ""


@cache
def _titles() -> dict[str, str]:
    return {group.id: group.title.partition(",")[0] for group in items.findings().groups}


def _muscles(losses: Case, fits: Iterable[Fit], atlas: Atlas) -> Iterator[tuple[Sided, Line]]:
    """For the muscles of a limb whose signs were tested and are normal."""
    for screen in known().screens:
        for side in SIDES:
            tested = _tested_roots(losses, screen, side)
            abnormal = any(fit.side == side and _concerns(fit, screen, atlas) for fit in fits)
            if abnormal or len(tested) < screen.least:
                continue
            because = (f"{screen.name}, {side}: {', '.join(sorted(tested))} tested and normal",)
            line = _common(FOR, known().words["muscle"], because, 1)
            for muscle in atlas.muscles.values():
                if muscle.group in screen.muscle_groups:
                    yield ("muscle", muscle.id, side), line


def _tested_roots(losses: Case, screen: Screen, side: str) -> set[str]:
    """The roots of a limb whose main root sign was tested on a side."""
    found = set()
    for (key, on), _ in losses.findings.items():
        roots = items.findings().items[key].roots[:1]
        if on == side and screen.roots.issuperset(roots):
            found |= set(roots)
    return found


def _concerns(fit: Fit, screen: Screen, atlas: Atlas) -> bool:
    if fit.layer == "root":
        return fit.id in screen.roots
    return bool(screen.roots & set(atlas.structures[fit.layer][fit.id].roots))


def published(case: Case, fits: list[Fit], drawn_on: Set[Sided]) -> Iterator[tuple[Sided, Line]]:
    """Clusters with a ratio, then single tests (not counted where a cluster counts them already)."""
    return lines_of(with_ratio(case), fits, drawn_on)


def with_ratio(case: Case, data: Ratios | None = None) -> tuple[Cluster | Single, ...]:
    """The clusters and single tests with a ratio about roots. `data`: a part of the ratios."""
    found: tuple[Cluster | Single, ...] = (*clusters.of(case, data), *clusters.singles(case, data))
    return tuple(one for one in found if one.about in known().roots and one.lr is not None and one.lr != 1)


def lines_of(
    told: Iterable[Cluster | Single], fits: list[Fit], drawn_on: Set[Sided]
) -> Iterator[tuple[Sided, Line]]:
    """The lines of ratios."""
    for one in told:
        if one.lr is None:
            continue
        line = Line(
            rule=f"{RATIO}:{one.id}",
            speaks=FOR if one.lr > 1 else AGAINST,
            words=f"{one.title}: ratio {one.lr:.3g}.",
            because=_because(one),
            source=one.source,
            status=one.status,
            weight=evidence_rules.arithmetic().weight(one.lr),
            about=TESTS,
            counted=not (isinstance(one, Single) and one.counted),
            by_finding=True,
        )
        for root in _held_against(one, fits, drawn_on):
            yield ("root", root, one.side), line


def _because(one: Cluster | Single) -> tuple[str, ...]:
    return one.positive + one.negative if isinstance(one, Cluster) else (one.reading,)


def _held_against(one: Cluster | Single, fits: list[Fit], drawn_on: Set[Sided]) -> tuple[str, ...]:
    """The roots a ratio is about: for it, the best fitting of that side, else those in whose skin something
    is drawn, else all of them, as no test says which; against it, all of them.
    """
    roots = known().roots[one.about]
    if one.lr is not None and one.lr < 1:
        return roots
    fitting = [fit for fit in fits if fit.layer == "root" and fit.side == one.side and fit.id in roots]
    if fitting:
        best = round(fitting[0].score, neuro.COMPARED)
        return tuple(fit.id for fit in fitting if round(fit.score, neuro.COMPARED) == best)
    return tuple(root for root in roots if ("root", root, one.side) in drawn_on) or roots


def _common(speaks: str, said: str, because: tuple[str, ...], sign: int) -> Line:
    numbers = evidence_rules.arithmetic()
    return Line(
        rule=NORMAL,
        speaks=speaks,
        words=said,
        because=because,
        source="common practice",
        status="common practice",
        weight=sign * numbers.weight(numbers.weak),
        about=LOSS,
        by_finding=True,
    )
