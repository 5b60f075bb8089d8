"""Where on the skin a drawing lies, and of which kind: what rules may ask of it."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from bodymaps import reach
from bodymaps import skin as skins
from bodymaps.geometry import Area
from bodymaps.geometry import together as together_of
from bodymaps.marks import Mark, symptoms
from bodymaps.skin import Skin

# A region counts as drawn on from this share of it, or from this much skin (figure mm²): a fingertip's mark
# on a large region is a drawing there, a line that slips over a border is not. This product's judgement.
LEAST_SHARE, LEAST_MM2 = 0.08, 400.0


@dataclass(frozen=True)
class Drawn:
    """Patches drawn on: (region id, side, kind), side "right", "left" or "midline". Both ids of a patch that
    both views show are named. `widespread`: the area condition of 2019 holds (see bodymaps.reach).
    """

    places: frozenset[tuple[str, str, str]] = frozenset()
    widespread: bool = False

    @property
    def is_empty(self) -> bool:
        return not self.places

    def touched(
        self, regions: Iterable[str], *, side: str = "", kinds: Iterable[str] = ()
    ) -> tuple[tuple[str, str], ...]:
        """The (region, side) among `regions` that are drawn on, of these kinds (any when none is named), on
        this side or the midline (any when ""), in a fixed order.
        """
        wanted, of_kind = set(regions), set(kinds)
        return tuple(
            sorted(
                {
                    (region, here)
                    for region, here, kind in self.places
                    if region in wanted
                    and (not side or here in (side, "midline"))
                    and (not of_kind or kind in of_kind)
                }
            )
        )

    def kinds(self, *, side: str = "") -> frozenset[str]:
        return frozenset(kind for _, here, kind in self.places if not side or here in (side, "midline"))


def of(marks: Iterable[Mark], skin: Skin | None = None) -> Drawn:
    """The pain of a drawing; findings of an examination are not part of it."""
    known, pain = skin or skins.load(), symptoms(marks)
    by_kind: dict[str, dict[str, list[Area]]] = {}
    for mark in pain:
        by_kind.setdefault(mark.kind, {}).setdefault(mark.view, []).append(mark.area)
    places: set[tuple[str, str, str]] = set()
    for kind, views in by_kind.items():
        covered = known.cut({view: together_of(areas) for view, areas in views.items()})
        for number, area in covered.items():
            patch = known.patches[number]
            if area.area >= min(LEAST_MM2, LEAST_SHARE * patch.size):
                places |= {(region, patch.side, kind) for region in patch.ids}
    return Drawn(frozenset(places), bool(pain) and reach.is_widespread(pain, known))
