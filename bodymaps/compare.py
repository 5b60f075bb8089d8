"""Two drawings of one person laid over each other: what is gone, what is new, what is unchanged.

Pain only; findings of an examination never count. Skin that both views show counts once (see skin). The
areas are those of the figure, a person 1,700 mm tall. Numbers and sources: data/compare.toml.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from bodymaps.geometry import Area
from bodymaps.marks import Mark
from bodymaps.skin import Skin


@dataclass(frozen=True)
class Amount:
    """How much skin: cm² of the figure, percent of the body surface as `extent` counts it, and cm² of the
    person by formula when height and weight are known.
    """

    cm2: float
    percent: float
    person_cm2: dict[str, float] | None = None


@dataclass(frozen=True)
class ViewChange:
    """What is to be shown on one view (figure mm); crumbs are left out here and counted all the same."""

    view: str
    gone: Area
    new: Area
    unchanged: Area


@dataclass(frozen=True)
class Change:
    """Before and after, and what became of it: before = gone + unchanged, after = new + unchanged."""

    before: Amount
    after: Amount
    gone: Amount
    new: Amount
    unchanged: Amount


@dataclass(frozen=True)
class KindChange:
    """The same of one kind of pain alone. `state`: "gone", "new", "less", "more" or "as before"."""

    kind: str
    label: str
    state: str
    change: Change
    words: str


@dataclass(frozen=True)
class Likeness:
    """Shared skin by united skin, 0..1; None when nothing is drawn in either (words say so). `spread_z`: how
    many standard deviations it lies from the published mean of redraws after one minute.
    """

    jaccard: float | None
    spread_z: float | None
    words: str
    source: str


@dataclass(frozen=True)
class Distance:
    """mm along the skin of the figure from the spine: mean, and what 95 % of the drawn skin lies within."""

    mean: float
    farthest: float


@dataclass(frozen=True)
class SideMove:
    """One side of the body. `direction`: "towards", "away", "neither", "unclear", "gone", "new", "none"."""

    side: str
    before: Distance | None
    after: Distance | None
    direction: str
    words: str


@dataclass(frozen=True)
class LimbMove:
    """How far down a limb pain is drawn: places in order from the root, "" for none."""

    limb: str
    side: str
    before: str
    after: str
    words: str


@dataclass(frozen=True)
class Compared:
    """All that two drawings say when they are laid over each other."""

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
    """Lay `after` over `before`. Raises SizeError for a size nobody has."""
    raise NotImplementedError
