"""Draw the expectation: ASCII pictures as areas, and areas as ASCII pictures for failures."""

from __future__ import annotations

from bodymaps import geometry
from bodymaps.geometry import Area

CELL = 10.0


def area(picture: str, letters: str = "#", cell: float = CELL, left: float = 0.0, top: float = 0.0) -> Area:
    """Every character that is one of `letters` is a filled square of `cell` mm."""
    squares = [
        geometry.box(left + x * cell, top + y * cell, left + (x + 1) * cell, top + (y + 1) * cell)
        for y, row in enumerate(rows(picture))
        for x, letter in enumerate(row)
        if letter in letters
    ]
    return geometry.unite(squares)


def rows(picture: str) -> list[str]:
    lines = picture.strip("\n").splitlines()
    indent = min(len(line) - len(line.lstrip()) for line in lines if line.strip())
    return [line[indent:].rstrip() for line in lines]


def shown(one: Area, width: int, height: int, cell: float = CELL) -> list[str]:
    """A picture of the area: # where the middle of a square lies inside."""
    return [
        "".join(
            "#" if geometry.holds_point(one, (x + 0.5) * cell, (y + 0.5) * cell) else "."
            for x in range(width)
        )
        for y in range(height)
    ]
