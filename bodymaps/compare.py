"""Two drawings of one person laid over each other: what is gone, what is new, what is unchanged.

Pain only; findings of an examination never count. Skin that both views show counts once (see skin): what was
drawn on it in one view before and in the other after is unchanged. Areas are those of the figure, a person
1,700 mm tall; percent is counted as `extent` counts it. Numbers and sources: data/compare.toml.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from bodymaps import compare_words, describe, figure, geometry, kinds, laid, overlap, words
from bodymaps import inwards as moves
from bodymaps import skin as skins
from bodymaps.compare_file import rules
from bodymaps.extent import BodySurface
from bodymaps.geometry import Area
from bodymaps.inwards import LimbMove, SideMove
from bodymaps.kinds import Kind
from bodymaps.laid import Laid
from bodymaps.marks import Mark, symptoms
from bodymaps.skin import Skin


@dataclass(frozen=True)
class Amount:
    """How much skin: cm² of the figure, percent of the body surface, and cm² of the person by formula when
    height and weight are known.
    """

    cm2: float
    percent: float
    person_cm2: Mapping[str, float] | None = None


@dataclass(frozen=True)
class ViewChange:
    """What is to be shown on one view (figure mm); crumbs are left out here and counted all the same."""

    view: str
    gone: Area
    new: Area
    unchanged: Area


@dataclass(frozen=True)
class Change:
    """Before and after, and what became of it: before = gone + unchanged, after = new + unchanged.

    Percent is that of `extent`, except where skin that both views show was drawn in the one view before and
    in the other after: it counts in both then.
    """

    before: Amount
    after: Amount
    gone: Amount
    new: Amount
    unchanged: Amount

    def mm2(self) -> dict[str, float]:
        return {name: 100 * getattr(self, name).cm2 for name in ("gone", "new", "unchanged")}

    @property
    def gone_share(self) -> float | None:
        """How much of what was drawn before is gone, 0..1; None when nothing was."""
        return self.gone.cm2 / self.before.cm2 if self.before.cm2 else None

    @property
    def new_share(self) -> float | None:
        """How much of what is drawn after is new, 0..1; None when nothing is."""
        return self.new.cm2 / self.after.cm2 if self.after.cm2 else None


@dataclass(frozen=True)
class KindChange:
    """One kind of pain alone, cm² of the figure. `state`: "gone", "new", "smaller", "larger", "as large"."""

    kind: str
    label: str
    state: str
    gone: float
    new: float
    unchanged: float
    words: str

    @property
    def before(self) -> float:
        return self.gone + self.unchanged

    @property
    def after(self) -> float:
        return self.new + self.unchanged


@dataclass(frozen=True)
class Likeness:
    """Shared skin by united skin over both views, 0..1. `spread_z`: how many standard deviations that lies
    from the published mean of redraws. Both None unless both drawings hold pain; `words` say so.
    """

    jaccard: float | None
    spread_z: float | None
    words: str
    source: str


@dataclass(frozen=True)
class Compared:
    """All that two drawings say when one is laid over the other. `lost`, `gained`: regions in words."""

    views: tuple[ViewChange, ...]
    change: Change
    likeness: Likeness
    kinds: tuple[KindChange, ...]
    sides: tuple[SideMove, ...]
    limbs: tuple[LimbMove, ...]
    lost: tuple[str, ...]
    gained: tuple[str, ...]


def compare(
    before: Sequence[Mark],
    after: Sequence[Mark],
    height_cm: float | None = None,
    weight_kg: float | None = None,
    *,
    skin: Skin | None = None,
) -> Compared:
    """Lay `after` over `before`. Percentages are always those of the figure, whatever the `skin`. Raises
    SizeError for a size nobody has.
    """
    first, second, held = symptoms(before), symptoms(after), skin or skins.load()
    body = BodySurface.of(height_cm, weight_kg) if height_cm is not None and weight_kg is not None else None
    over = laid.lay(first, second, held)
    change = _change(over, body)
    return Compared(
        views=tuple(_view(name, over) for name in figure.VIEWS),
        change=change,
        likeness=_likeness(change),
        kinds=_kinds(first, second, change, held),
        sides=moves.sides(over.before, over.after, held),
        limbs=moves.limbs(first, second),
        lost=_regions(over, held, "before", "gone"),
        gained=_regions(over, held, "after", "new"),
    )


def _change(over: Laid, body: BodySurface | None) -> Change:
    def amount(name: str) -> Amount:
        percent = over.percent[name]
        return Amount(sum(over.sizes[name].values()) / 100, percent, body.cm2(percent) if body else None)

    return Change(*(amount(name) for name in ("before", "after", "gone", "new", "unchanged")))


def _view(name: str, over: Laid) -> ViewChange:
    least = rules().crumb_mm2
    return ViewChange(
        name,
        *(geometry.without_crumbs(part[name], least) for part in (over.gone, over.new, over.unchanged)),
    )


def _likeness(change: Change) -> Likeness:
    redraw = rules().redraw
    if not change.before.cm2 or not change.after.cm2:
        words_ = compare_words.not_alike(bool(change.before.cm2), bool(change.after.cm2))
        return Likeness(None, None, words_, redraw.source)
    jaccard = overlap.tversky(change.unchanged.cm2, change.gone.cm2, change.new.cm2, 1, 1)
    z = (jaccard - redraw.mean) / redraw.sd
    return Likeness(jaccard, z, compare_words.alike(jaccard, z, redraw), redraw.source)


def _kinds(
    before: Sequence[Mark], after: Sequence[Mark], whole: Change, skin: Skin
) -> tuple[KindChange, ...]:
    drawn = {mark.kind for mark in (*before, *after)}
    found = []
    for kind in (one for one in kinds.symptoms() if one.id in drawn):
        first, second = ([mark for mark in marks if mark.kind == kind.id] for marks in (before, after))
        sizes = laid.amounts(first, second, skin) if len(drawn) > 1 else whole.mm2()
        found.append(_kind(kind, sizes))
    return tuple(found)


def _kind(kind: Kind, mm2: Mapping[str, float]) -> KindChange:
    gone, new, unchanged = (mm2[name] / 100 for name in ("gone", "new", "unchanged"))
    before, after = gone + unchanged, new + unchanged
    state = compare_words.state(before, after)
    said = compare_words.of_kind(kind.label, state, before, after)
    return KindChange(kind.id, kind.label, state, gone, new, unchanged, said)


def _regions(over: Laid, skin: Skin, drawn: str, part: str) -> tuple[str, ...]:
    """Regions worth naming in one drawing of which the other holds next to nothing, largest first."""
    sizes, changed = over.sizes[drawn], over.sizes[part]
    least = rules().region_share
    named = describe.named(sizes, skin)
    return tuple(
        words.patch(skin.patches[patch]) for patch in named if changed.get(patch, 0.0) >= least * sizes[patch]
    )
