"""All drawings of an episode on one axis: small pictures above their dates, and what happened below."""

from collections.abc import Sequence
from dataclasses import dataclass
from zoneinfo import ZoneInfo

from charting.drawing.picture import SIDES
from charting.progress import plots
from charting.progress.axis import Axis, lanes
from charting.progress.events import Happened
from charting.progress.plots import WIDTH, Mark, Written, number
from charting.progress.small_drawings import SmallDrawing

# Widths of a picture: the first with which no more than FEW lanes are needed, else the last.
SIZES = (104, 80, 60)
FEW = 4
# Between pictures of one lane, and between the lowest lane and the axis.
GAP, FOOT = 6, 14
DATE_HEIGHT = 22
# Width of the outline, the same however small the picture is.
LINE = 0.9
AXIS_ROOM = 40
ROW_HEIGHT = 34
# Rows of what happened, in this order.
TREATED, REACTION, MISSED = "Treated", "Reaction", "Missed"


@dataclass(frozen=True)
class Picture:
    """One drawing. `x`, `y`: its upper left corner; `middle`: its true place on the axis; `foot`: where the
    line down to the axis begins.
    """

    small: SmallDrawing
    x: str
    y: str
    middle: str
    foot: str
    date: str
    date_y: str


@dataclass(frozen=True)
class Row:
    """One kind of event below the axis. `shape`: how its marks are drawn."""

    name: str
    shape: str
    y: str
    marks: tuple[Mark, ...]


@dataclass(frozen=True)
class Strip:
    """`lifted`: whether any picture stands above another. `words` tell it to somebody who can't see it."""

    width: int
    height: str
    axis_y: str
    dates_y: str
    picture_width: str
    picture_height: str
    line: str
    outlines: tuple[tuple[str, str, str], ...]
    box: str
    pictures: tuple[Picture, ...]
    dates: tuple[Written, ...]
    rows: tuple[Row, ...]
    lifted: bool
    words: str


def strip(
    drawings: Sequence[SmallDrawing],
    *,
    axis: Axis,
    zone: ZoneInfo,
    treated: Sequence[Happened],
    reactions: Sequence[Happened],
    missed: Sequence[Happened],
) -> Strip:
    """The row of drawings; a visit that says nothing of where it hurts has no picture."""
    told = [one for one in drawings if one.is_told]
    places = [axis.x(one.at) for one in told]
    size = next((one for one in SIZES if max(lanes(places, one + GAP), default=0) < FEW), SIZES[-1])
    lane = lanes(places, size + GAP)
    high = size * _ratio(told)
    step = high + DATE_HEIGHT
    axis_y = FOOT + step * (max(lane, default=-1) + 1)
    below = {TREATED: ("line", treated), REACTION: ("triangle", reactions), MISSED: ("cross", missed)}
    rows = [(name, shape, found) for name, (shape, found) in below.items() if found]
    pictures = tuple(
        _picture(one, place, axis_y - FOOT - step * number_ - high, (size, high), zone)
        for one, place, number_ in zip(told, places, lane, strict=True)
    )
    return Strip(
        width=WIDTH,
        height=number(axis_y + AXIS_ROOM + ROW_HEIGHT * len(rows)),
        axis_y=number(axis_y),
        dates_y=number(axis_y + 24),
        picture_width=number(size),
        picture_height=number(high),
        line=number(LINE * _wide(told) / size),
        outlines=tuple((view.view, view.shift, view.outline) for view in told[0].views) if told else (),
        box=told[0].box if told else "0 0 1 1",
        # Those that stand higher are drawn first: their lines pass behind the lower ones.
        pictures=tuple(one for _, one in sorted(zip(lane, pictures, strict=True), key=lambda pair: -pair[0])),
        dates=plots.dates(axis, zone),
        rows=tuple(
            Row(
                name, shape, number(axis_y + AXIS_ROOM + ROW_HEIGHT * (index + 0.5)), plots.marks(axis, found)
            )
            for index, (name, shape, found) in enumerate(rows)
        ),
        lifted=any(lane),
        words=_words(told, len(drawings), zone),
    )


def _ratio(told: Sequence[SmallDrawing]) -> float:
    """Height of a picture by its width."""
    return float(told[0].box.split()[3]) / _wide(told) if told else 1.0


def _wide(told: Sequence[SmallDrawing]) -> float:
    """Width of a picture in millimetres of the figure."""
    return float(told[0].box.split()[2]) if told else 1.0


def _picture(
    one: SmallDrawing, place: float, top: float, size: tuple[float, float], zone: ZoneInfo
) -> Picture:
    wide, high = size
    local = one.at.astimezone(zone)
    return Picture(
        small=one,
        x=number(place - wide / 2),
        y=number(top),
        middle=number(place),
        foot=number(top + high),
        date=f"{local.day} {local:%b}",
        date_y=number(top - 5),
    )


def _words(told: Sequence[SmallDrawing], count: int, zone: ZoneInfo) -> str:
    """First and last drawing in sentences; every drawing in words stands in its own picture."""
    if not told:
        return "No visit of this episode has a drawing yet."
    side = SIDES["front"][0].lower()
    said = (
        f"{len(told)} of {count} visits say where it hurts. Front view left, back view right; in the front "
    )
    said += f"view the {side} is on the left."
    ends = [told[0]] if len(told) == 1 else [told[0], told[-1]]
    return " ".join([said, *(f"{plots.day(one.at, zone)}: {one.words}" for one in ends)])
