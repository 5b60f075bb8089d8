"""Feeling, strength and reflexes that could be tested next: a screen of the whole limb when nothing of it is
on record, else the signs that the leading roots and nerves are expected to change.

What a loss and a normal result count is what the neuro screen counts (evidence_nerves): the score of the fit,
and the weak lines of what was tested and is normal.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from functools import cache, lru_cache, partial

from bodymaps import words
from bodymaps.atlas import SIDES, Atlas
from bodymaps.reasoning import evidence_nerves, items, neuro, next_file, signs
from bodymaps.reasoning.case import Case, Value
from bodymaps.reasoning.evidence import Judged
from bodymaps.reasoning.evidence_nerves import FITS, LOSS, NORMAL, RATIO, Screen
from bodymaps.reasoning.evidence_rules import Key, Line
from bodymaps.reasoning.implied import shares
from bodymaps.reasoning.items import NOT_TESTED, Item
from bodymaps.reasoning.neuro import Fit
from bodymaps.reasoning.own_areas import Sided
from bodymaps.reasoning.possible import Possible, Result, Told, listed
from bodymaps.reasoning.proposal import PRACTICE, SCREEN, TEST
from bodymaps.reasoning.signs import ROOT
from bodymaps.reasoning.standing import Change, Standing, sided

CLINIC = "reflex_clinic"


def possible(standing: Standing) -> Iterator[Possible]:
    """A screen of each limb and side, or single signs, that would move a leading root or nerve."""
    for side in SIDES:
        targets = [one for one in standing.leading if one.side == side and _key(one) in _main()]
        for screen in (*evidence_nerves.known().screens, None):
            here = [one for one in targets if _limb(_key(one), standing.atlas) == screen]
            if here:
                yield from _of_limb(Limb(screen, side, tuple(here), standing))


@dataclass(frozen=True, eq=False)
class Limb:
    """The leading roots and nerves (`targets`) of one limb and side; `screen` None beside the limbs."""

    screen: Screen | None
    side: str
    targets: tuple[Judged, ...]
    standing: Standing

    @property
    def is_untouched(self) -> bool:
        """Whether nothing of feeling, strength and reflexes of the limb is on record on this side."""
        keys = _keys(self.screen, self.standing.atlas) if self.screen else frozenset()
        return not any(key in keys and side == self.side for key, side in self.standing.facts.case.findings)

    @property
    def signs(self) -> tuple[str, ...]:
        """Main signs of the targets that nobody has tried on this side, each once."""
        every = dict.fromkeys(sign for one in self.targets for sign in _main()[_key(one)])
        return tuple(sign for sign in every if not self._tried(sign))

    def _tried(self, sign: str) -> bool:
        case = self.standing.facts.case
        return any(case.finding(key, self.side) is not None for key in signs.load().signs[sign].keys)

    def with_(self, abnormal: Iterable[str], normal: Iterable[str]) -> Case:
        """The case with signs found abnormal and normal."""
        case, lost = self.standing.facts.case, set(abnormal)
        added = {
            (item.key, self.side): _grade(item, sign in lost)
            for sign in (*lost, *normal)
            for item in [_item(sign, case)]
        }
        return replace(case, findings={**case.findings, **added})


def _of_limb(limb: Limb) -> Iterator[Possible]:
    if limb.screen and limb.is_untouched:
        main = _main()[_key(limb.targets[0])]
        every = _signs(limb.screen, limb.standing.atlas)
        found = _possible(limb, main, tuple(sign for sign in every if sign not in main))
        if found:
            yield found
        return
    for sign in limb.signs:
        found = _possible(limb, (sign,), ())
        if found:
            yield found


def _possible(limb: Limb, lost: tuple[str, ...], spared: tuple[str, ...]) -> Possible | None:
    """The screen when `spared` names the other signs, else the one sign of `lost`."""
    cases = (limb.with_(lost, spared), limb.with_((), (*lost, *spared)))
    changes = tuple(_change(case, limb.standing) for case in cases)
    leading = limb.standing.leading
    implied = shares(*([limb.standing.moved(one, change) for one in leading] for change in changes))
    if implied is None:
        return None
    about = limb.targets if spared else [one for one in limb.targets if lost[0] in _main()[_key(one)]]
    return Possible(
        kind=SCREEN if spared else TEST,
        id=f"neuro:{limb.screen.name}" if spared and limb.screen else _item(lost[0], cases[0]).key,
        side=limb.side,
        positive=implied.positive,
        tell=partial(_tell_screen if spared else _tell_sign, limb, lost, changes),
        stands_for=frozenset((LOSS, sided(one)) for one in about),
    )


def _change(case: Case, standing: Standing) -> Change:
    """The lines of the neuro screen of a case, where nothing is lost altogether (see _grade)."""
    tested = frozenset(
        pair for pair in case.findings.items() if pair[0][0] in _losses() and pair[1] != NOT_TESTED
    )
    fits, lines = _told_by(tested, standing.atlas)
    # Which root a test speaks for goes by what fits.
    ratios = evidence_nerves.lines_of(standing.with_ratio, list(fits), standing.drawn_on.keys())
    told = {line.rule for one in standing.evidence.order for line in one.lines}
    rules = frozenset((FITS, NORMAL, *(rule for rule in told if rule.startswith(RATIO))))
    return Change(rules, _by_candidate(ratios, lines))


@lru_cache(maxsize=1000)
def _told_by(
    tested: frozenset[tuple[tuple[str, str], Value]], atlas: Atlas
) -> tuple[tuple[Fit, ...], Mapping[Sided, tuple[Line, ...]]]:
    """What fits feeling, strength and reflexes, and their lines: asked anew for each page, so kept."""
    case, known = Case(findings=dict(tested)), signs.load()
    keys = {key for (key, _), _ in tested}
    part = {name: sign for name, sign in known.signs.items() if keys & set(sign.keys)}
    fits = evidence_nerves.fits_of(case, replace(known, signs=part))
    return tuple(fits), _by_candidate(evidence_nerves.of_losses(case, atlas, fits))


def _by_candidate(
    pairs: Iterable[tuple[Sided, Line]], more: Mapping[Sided, tuple[Line, ...]] | None = None
) -> dict[Sided, tuple[Line, ...]]:
    found = dict(more or {})
    for one, line in pairs:
        found[one] = (*found.get(one, ()), line)
    return found


@cache
def _losses() -> frozenset[str]:
    return frozenset(key for one in signs.load().signs.values() if not one.is_test for key in one.keys)


def _tell_screen(limb: Limb, lost: tuple[str, ...], changes: tuple[Change, ...]) -> Told:
    said, name = next_file.load().words, limb.screen.name if limb.screen else ""
    return _told(
        limb,
        f"{said['screen_title'].format(limb=name)}, {limb.side}",
        (said["screen"].format(limb=name), *_expected(limb), *_apart(limb)),
        (said["loss"].format(name=limb.targets[0].name), said["no_loss"]),
        changes,
    )


def _tell_sign(limb: Limb, lost: tuple[str, ...], changes: tuple[Change, ...]) -> Told:
    said, item = next_file.load().words, _item(lost[0], limb.standing.facts.case)
    about = [one for one in limb.targets if lost[0] in _main()[_key(one)]]
    told = _told(
        limb,
        f"{_label(item)}, {limb.side}",
        (said["sign"].format(names=listed(about)), *_apart(limb, lost[0])),
        (said["abnormal"], said["normal"]),
        changes,
    )
    return replace(told, caution=item.caution)


def _told(
    limb: Limb, title: str, why: tuple[str, ...], results: tuple[str, str], changes: tuple[Change, ...]
) -> Told:
    known = evidence_nerves.known()
    return Told(
        title=title,
        why=why,
        basis=PRACTICE,
        source=known.source,
        status=known.status,
        results=tuple(Result(*one) for one in zip(results, changes, strict=True)),
    )


def _expected(limb: Limb) -> Iterator[str]:
    """What each target is expected to show."""
    for one in limb.targets:
        found = [_lowered(_label(_item(sign, limb.standing.facts.case))) for sign in _main()[_key(one)]]
        said = next_file.load().words["expected"].format(name=one.name, signs=words.listed(found))
        yield words.sentence_case(said)


def _apart(limb: Limb, sign: str = "") -> Iterator[str]:
    """What tells two of the targets apart; by one sign where one is named."""
    targets = {_key(one) for one in limb.targets}
    for one in signs.load().apart:
        if targets.issuperset(one.between) and (not sign or sign in one.examine):
            yield one.words


def _key(one: Judged) -> Key:
    return (one.layer, one.id)


def _main() -> Mapping[Key, tuple[str, ...]]:
    return evidence_nerves.main_losses()


@cache
def _limb(key: Key, atlas: Atlas) -> Screen | None:
    """The screen a root or nerve belongs to, a nerve by its roots; None for what lies elsewhere."""
    roots = {key[1]} if key[0] == ROOT else set(atlas.structures[key[0]][key[1]].roots)
    return next((one for one in evidence_nerves.known().screens if one.roots & roots), None)


@cache
def _signs(screen: Screen, atlas: Atlas) -> tuple[str, ...]:
    """The main signs of the roots of a limb: what a screen of it tests."""
    roots = [key for key in _main() if key[0] == ROOT and key[1] in screen.roots]
    return tuple(dict.fromkeys(sign for key in roots for sign in _main()[key]))


@cache
def _keys(screen: Screen, atlas: Atlas) -> frozenset[str]:
    """The findings that belong to a limb: all main signs of its roots and nerves."""
    known = signs.load().signs
    mine = [key for key in _main() if _limb(key, atlas) == screen]
    return frozenset(key for one in mine for sign in _main()[one] for key in known[sign].keys)


def _item(sign: str, case: Case) -> Item:
    """The finding a sign is tested as: touch before pin prick, reflexes on the scale of the case."""
    keys = signs.load().signs[sign].keys
    clinic = any(key.startswith(CLINIC) for key, _ in case.findings)
    chosen = next((key for key in keys if clinic and key.startswith(CLINIC)), keys[0])
    return items.findings().items[chosen]


def _grade(item: Item, lost: bool) -> str:
    """The nearest grade below the normal ones, or the normal one."""
    scale = items.findings().scale_of(item)
    if not lost:
        return scale.normal
    order = [grade.id for grade in scale.grades]
    return order[order.index(scale.within_normal[0]) - 1]


def _label(item: Item) -> str:
    """ "Reflex (brachioradialis)"."""
    label = _lowered(item.label) if item.group in neuro.LOWERED else item.label
    return f"{signs.load().said.get(item.group, item.group)} ({label})"


def _lowered(text: str) -> str:
    return text[:1].lower() + text[1:]
