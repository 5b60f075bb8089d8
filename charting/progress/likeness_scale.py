"""The likeness of two drawings on a scale from 0 to 1, beside that of redraws after a minute."""

from dataclasses import dataclass

from bodymaps.compare_file import Redraw

# The picture, in its own units: the scale runs from LEFT over LONG.
WIDTH, LEFT, LONG = 640, 20, 600


@dataclass(frozen=True)
class Scale:
    """Places along the picture, as strings: this pair, and the mean of redraws with a standard deviation to
    either side. `words` tell it to somebody who can't see it.
    """

    width: int
    pair: str
    mean: str
    low: str
    wide: str
    ticks: tuple[tuple[str, str], ...]
    shown: str
    redraws: str
    words: str


def scale(jaccard: float | None, redraw: Redraw) -> Scale | None:
    """None without a likeness."""
    if jaccard is None:
        return None
    low, high = max(0.0, redraw.mean - redraw.sd), min(1.0, redraw.mean + redraw.sd)
    redraws = f"redraws after {redraw.minutes} min: {redraw.mean:.2f} ± {redraw.sd:.2f}"
    return Scale(
        width=WIDTH,
        pair=_at(jaccard),
        mean=_at(redraw.mean),
        low=_at(low),
        wide=f"{(high - low) * LONG:.1f}",
        ticks=tuple((_at(number / 10), f"{number / 10:.1f}") for number in range(0, 11, 2)),
        shown=f"{jaccard:.2f}",
        redraws=redraws,
        words=f"Scale from 0, apart, to 1, the same. This pair: {jaccard:.2f}; {redraws}.",
    )


def _at(value: float) -> str:
    return f"{LEFT + value * LONG:.1f}"
