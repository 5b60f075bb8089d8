"""Feeling, strength and reflexes that could be tested next: a screen of the whole limb when nothing of it is
on record, the rest of it when much is left, else single signs that the leading roots and nerves would change.

What a loss and a normal result count is what the neuro screen counts (evidence_nerves): the score of the fit,
and the weak lines of what was tested and is normal. One sign alone says little, the signs of a root together
say more: so as long as several of one are left they are proposed as one.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from functools import cache, lru_cache, partial

from bodymaps import words
from bodymaps.atlas import Atlas
from bodymaps.reasoning import evidence_nerves, limbs, next_file, signs
from bodymaps.reasoning.case import Case, Value
from bodymaps.reasoning.evidence import Judged
from bodymaps.reasoning.evidence_nerves import FITS, LOSS, NORMAL, RATIO
from bodymaps.reasoning.evidence_rules import Line
from bodymaps.reasoning.implied import shares
from bodymaps.reasoning.items import NOT_TESTED
from bodymaps.reasoning.limbs import Limb
from bodymaps.reasoning.neuro import Fit
from bodymaps.reasoning.own_areas import Sided
from bodymaps.reasoning.possible import Possible, Result, Told, listed
from bodymaps.reasoning.proposal import PRACTICE, SCREEN, TEST
from bodymaps.reasoning.standing import Change, Standing, sided


@dataclass(frozen=True, eq=False)
class Block:
    """What is tested together: `lost` are signs of `about` that a loss would show in, `spared` the others. A
    block of one sign, with nothing to spare, is that sign alone.
    """

    limb: Limb
    about: tuple[Judged, ...]
    lost: tuple[str, ...]
    spared: tuple[str, ...] = ()

    @property
    def is_screen(self) -> bool:
        return len(self.lost) + len(self.spared) > 1


def possible(standing: Standing) -> Iterator[Possible]:
    """Screens and single signs that would move a leading root or nerve."""
    for limb in limbs.of(standing):
        for block in blocks(limb):
            found = _possible(block)
            if found:
                yield found


def blocks(limb: Limb) -> Iterator[Block]:
    """What is to be tested of a limb: a screen, the rest of one, or signs one by one."""
    first = limb.targets[0]
    if limb.screen and limb.is_untouched:
        lost = limbs.main(first)
        yield Block(limb, limb.targets, lost, tuple(one for one in limb.every_sign if one not in lost))
        return
    several = next((one for one in limb.targets if len(limb.left(one)) > 1), None)
    if limb.screen and several:
        lost = limb.left(several)
        yield Block(limb, limb.targets, lost, tuple(s for s in limb.left(*limb.targets) if s not in lost))
        return
    for sign in limb.left(*limb.targets):
        yield Block(limb, tuple(one for one in limb.targets if sign in limbs.main(one)), (sign,))


def _possible(block: Block) -> Possible | None:
    limb, standing = block.limb, block.limb.standing
    cases = (limb.with_(block.lost, block.spared), limb.with_((), (*block.lost, *block.spared)))
    changes = tuple(_change(case, standing) for case in cases)
    implied = shares(*([standing.moved(one, change) for one in standing.leading] for change in changes))
    if implied is None:
        return None
    sign = limbs.item(block.lost[0], standing.facts.case)
    return Possible(
        kind=SCREEN if block.is_screen else TEST,
        id=f"neuro:{limb.name}" if block.is_screen else sign.key,
        side=limb.side,
        positive=implied.positive,
        tell=partial(_tell_screen if block.is_screen else _tell_sign, block, changes),
        stands_for=frozenset((LOSS, sided(one)) for one in block.about),
    )


def _change(case: Case, standing: Standing) -> Change:
    """The lines of the neuro screen of a case. No sign that is added is lost altogether, so that no rule
    about that comes in.
    """
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


def _tell_screen(block: Block, changes: tuple[Change, ...]) -> Told:
    said, limb = next_file.load().words, block.limb
    form = "" if limb.is_untouched else "_rest"
    return _told(
        f"{said[f'screen_title{form}'].format(limb=limb.name)}, {limb.side}",
        (said[f"screen{form}"].format(limb=limb.name), *_expected(limb), *limbs.told_apart(limb)),
        (said["loss"].format(name=_first(block).name), said["no_loss"]),
        changes,
    )


def _first(block: Block) -> Judged:
    """Whose loss the positive result is."""
    return next(one for one in block.about if set(block.lost) <= set(limbs.main(one)))


def _expected(limb: Limb) -> Iterator[str]:
    """What each target would show in what is left to test."""
    for one in limb.targets:
        found = [limb.words(sign) for sign in limb.left(one)]
        if found:
            said = next_file.load().words["expected"].format(name=one.name, signs=words.listed(found))
            yield words.sentence_case(said)


def _tell_sign(block: Block, changes: tuple[Change, ...]) -> Told:
    said, limb, sign = next_file.load().words, block.limb, block.lost[0]
    told = _told(
        f"{limb.words(sign)}, {limb.side}",
        (said["sign"].format(names=listed(block.about)), *limbs.told_apart(limb, sign)),
        (said["abnormal"], said["normal"]),
        changes,
    )
    return replace(told, caution=limbs.item(sign, limb.standing.facts.case).caution)


def _told(title: str, why: tuple[str, ...], results: tuple[str, str], changes: tuple[Change, ...]) -> Told:
    known = evidence_nerves.known()
    return Told(
        title=title,
        why=why,
        basis=PRACTICE,
        source=known.source,
        status=known.status,
        results=tuple(Result(*one) for one in zip(results, changes, strict=True)),
    )
