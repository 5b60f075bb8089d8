"""How far the pain reaches: share of the body surface, cm², regions, quadrants and the sites of widespread
pain.

Where the drawing lies is all that counts here. The criteria of widespread pain also ask how long it has
lasted and for other symptoms, which is asked elsewhere, so nothing here says that somebody meets them.
Findings of an examination are no pain and never count. Numbers, sites and sources: data/extent.toml.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from math import sqrt
from typing import Any

from bodymaps import figure, reach, surface
from bodymaps import skin as skins
from bodymaps.marks import Mark, symptoms
from bodymaps.reach import Reach, tables
from bodymaps.skin import Skin

AREA_ONLY = "By area alone: how long the pain has lasted and other symptoms are asked elsewhere."


class SizeError(ValueError):
    """A height or weight that cannot be; the message names it."""


@dataclass(frozen=True)
class BodySurface:
    """Surface of the whole body in m², by two formulas."""

    mosteller: float
    du_bois: float

    @classmethod
    def of(cls, height_cm: float, weight_kg: float) -> BodySurface:
        """Mosteller 1987 and Du Bois 1916; raises SizeError for a size nobody has."""
        _check("height", height_cm, "cm")
        _check("weight", weight_kg, "kg")
        formulas = tables()["surface"]
        root, power = formulas["mosteller"], formulas["du_bois"]
        return cls(
            sqrt(height_cm * weight_kg / root["divisor"]),
            power["factor"] * height_cm ** power["height_power"] * weight_kg ** power["weight_power"],
        )

    def cm2(self, percent: float) -> dict[str, float]:
        """cm² of that percentage of the body, by formula."""
        return {name: percent * 100 * m2 for name, m2 in self.as_dict().items()}

    def as_dict(self) -> dict[str, float]:
        return {"mosteller": self.mosteller, "du_bois": self.du_bois}


@dataclass(frozen=True)
class Extent:
    """`percent` of the body surface, in all and by view (each of the two faces holds about half of 100).
    `body`: the patient's surface, None unless height and weight are known. `reach`: where it is.
    """

    percent: float
    by_view: tuple[tuple[str, float], ...]
    body: BodySurface | None
    reach: Reach

    @property
    def cm2(self) -> dict[str, float] | None:
        """cm² in pain by formula, None unless height and weight are known."""
        return self.body.cm2(self.percent) if self.body else None

    def as_json(self) -> dict[str, Any]:
        """Plain data; percentages to 0.01, m² to 0.0001, cm² to 0.1."""
        cm2 = self.cm2
        return {
            "extent": tables()["version"],
            "percent": round(self.percent, 2),
            "percent_by_view": {view: round(percent, 2) for view, percent in self.by_view},
            "body_surface_m2": _rounded(self.body.as_dict(), 4) if self.body else None,
            "cm2": _rounded(cm2, 1) if cm2 else None,
            **self.reach.as_json(),
            "note": AREA_ONLY,
        }


def extent(
    marks: Iterable[Mark],
    height_cm: float | None = None,
    weight_kg: float | None = None,
    *,
    skin: Skin | None = None,
) -> Extent:
    """What the marks of pain cover; without marks everything is 0. Raises SizeError for a size nobody has.

    `skin` is that of the figure unless another is given; percentages are always those of the figure.
    """
    pain = symptoms(marks)
    by_view = tuple((view, surface.share(_of(view, pain))) for view in figure.VIEWS)
    body = BodySurface.of(height_cm, weight_kg) if height_cm is not None and weight_kg is not None else None
    return Extent(sum(percent for _, percent in by_view), by_view, body, reach.of(pain, skin or skins.load()))


def _of(view: str, marks: Sequence[Mark]) -> list[Mark]:
    return [mark for mark in marks if mark.view == view]


def believed(name: str, unit: str) -> tuple[float, float]:
    """The least and the greatest ("height", "cm") or ("weight", "kg") that a person is taken to have."""
    low, high = tables()["believed"][f"{name}_{unit}"]
    return low, high


def _check(name: str, value: float, unit: str) -> None:
    low, high = believed(name, unit)
    if not low <= value <= high:
        raise SizeError(f"The {name} must lie between {low:g} and {high:g} {unit}, not {value:g}.")


def _rounded(values: dict[str, float], digits: int) -> dict[str, float]:
    return {name: round(value, digits) for name, value in values.items()}
