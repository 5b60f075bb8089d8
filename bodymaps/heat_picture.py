"""The map of one view as a picture (PNG): coarse cells in shades, over the outline of the body."""

from __future__ import annotations

import io
from collections.abc import Sequence

import numpy as np
import numpy.typing as npt
from PIL import Image

from bodymaps import coarse

# Pixels for a cell of 2 mm: sharp on screens with two dots a pixel.
SHARP = 2
OUTSIDE, BODY, EDGE, FIRST_SHADE = 0, 1, 2, 3
PALETTE = ("#ffffff", "#ffffff", "#525b62")


def picture(view: str, shades: Sequence[int], fills: Sequence[str]) -> bytes:
    """`shades`: for every coarse cell 0 for none, else which of `fills` ("#rrggbb"), from 1 on."""
    body = coarse.on_body(view)
    cells = np.array(shades, np.uint8).reshape(coarse.ROWS, coarse.COLUMNS)
    fine = np.kron(cells, np.ones((coarse.FINE, coarse.FINE), np.uint8))
    drawn = np.where(fine > 0, fine + (FIRST_SHADE - 1), BODY).astype(np.uint8)
    drawn = np.where(body, drawn, OUTSIDE)
    drawn[_edge(body)] = EDGE
    sharp = np.kron(drawn, np.ones((SHARP, SHARP), np.uint8))
    return _png(sharp, (*PALETTE, *fills))


def _edge(body: npt.NDArray[np.bool_]) -> npt.NDArray[np.bool_]:
    """The places of the body that lie at its edge."""
    wide = np.pad(body, 1)
    inner = wide[:-2, 1:-1] & wide[2:, 1:-1] & wide[1:-1, :-2] & wide[1:-1, 2:]
    return np.asarray(body & ~inner, np.bool_)


def _png(drawn: npt.NDArray[np.uint8], palette: Sequence[str]) -> bytes:
    image = Image.fromarray(drawn, "P")
    image.putpalette([int(colour[at : at + 2], 16) for colour in palette for at in (1, 3, 5)])
    kept = io.BytesIO()
    image.save(kept, "PNG", optimize=False)
    return kept.getvalue()
