"""Share out the body surface: python -m bodymaps.making.surface

Reads the chart (lund_browder.toml), the chart area of each region (names.toml) and the regions' sizes, and
writes bodymaps/data/figure/surface.toml. Within one face of a chart area every region gets its part in
proportion to its size on the figure, in whole units, by the largest remainder; right and left get the same.
"""

from __future__ import annotations

import sys
import tomllib
from collections.abc import Sequence
from fractions import Fraction

from bodymaps import figure, regions, surface

OUT = figure.FOLDER / "surface.toml"
HEAD = """\
# What each region of the skin is worth, in units of 1/10,000 % of the body surface (the body is 1,000,000).
# Made by bodymaps/making/surface.py from lund_browder.toml, names.toml and the regions' sizes; do not edit.
# The back of the perineum takes its share from the buttocks; the soles belong to the back of the feet.
"""


def main() -> int:
    table = surface.checked_table(tomllib.loads((figure.FOLDER / "lund_browder.toml").read_text())["area"])
    names = {one.id: one for one in regions.names()}
    units: dict[str, int] = {}
    for chart, faces in table.items():
        for face, total in faces.items():
            here = [one for one in names.values() if one.chart == chart and one.id.startswith(f"{face}:")]
            sizes = [_size(one.id) for one in here]
            counts = [1 if one.midline else 2 for one in here]
            units.update(zip((one.id for one in here), shared_out(total, sizes, counts), strict=True))
    OUT.write_text(HEAD + "".join(_entry(names[name], units[name]) for name in names))
    return 0


def shared_out(total: int, sizes: Sequence[float], counts: Sequence[int]) -> list[int]:
    """Whole units for each region (each of its sides), so that units times counts add up to the total.

    Largest remainder; a pair takes two units at once, so a midline region is passed over where an odd unit
    would be left that nobody can take.
    """
    if not sizes:
        return []
    whole = sum(Fraction(size) * count for size, count in zip(sizes, counts, strict=True))
    quotas = [total * Fraction(size) / whole for size in sizes]
    units = [int(quota) for quota in quotas]
    left = total - sum(unit * count for unit, count in zip(units, counts, strict=True))
    by_remainder = sorted(range(len(units)), key=lambda k: (units[k] - quotas[k], k))
    for place, k in enumerate(by_remainder):
        rest = left - counts[k]
        if rest >= 0 and (rest % 2 == 0 or any(counts[later] == 1 for later in by_remainder[place + 1 :])):
            units[k] += 1
            left = rest
    if left:
        raise surface.SurfaceError(f"{left} of {total} units cannot be shared out evenly")
    return units


def _size(name: str) -> float:
    return next(one.area.area for one in regions.load() if one.id == name and one.side != "left")


def _entry(name: regions.Name, units: int) -> str:
    sides = f"midline = {units}" if name.midline else f"right = {units}\nleft = {units}"
    face = name.id.split(":")[0]
    return f'\n[[region]]\nid = "{name.id}"\nchart = "{name.chart}"\nface = "{face}"\n{sides}\n'


if __name__ == "__main__":
    sys.exit(main())
