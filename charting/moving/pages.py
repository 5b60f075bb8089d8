"""What the page of a move may use."""

from collections.abc import Collection
from dataclasses import dataclass
from typing import Any, ClassVar

from bodymaps import describe
from charting.drawing import picture
from charting.drawing.models import EnteredInError
from charting.drawing.picture import ViewPicture
from charting.drawing.queries import state_of_drawing
from charting.drawing.sources import TITLES
from charting.moving import queries
from charting.moving.forms import NOWHERE
from charting.staff.models import User
from charting.visits.models import Visit


@dataclass(frozen=True)
class MovePage:
    """The drawing that is in the wrong place, and where it can go.

    `back` is the move that once brought it here, when it is moved back. `sure` is true on the second page:
    it asks once more; `to` and `reason` are then what was chosen (`to` None: nowhere).
    """

    MOST: ClassVar[int] = queries.MOST
    NOWHERE: ClassVar[str] = NOWHERE

    views: tuple[ViewPicture, ...]
    sentences: tuple[str, ...]
    entries: int
    visits: tuple[Visit, ...]
    text: str
    chosen: str
    # Everything on the visit's layers, and which of them are ticked.
    layers: tuple[tuple[str, str, bool], ...]
    back: EnteredInError | None = None
    sure: bool = False
    to: Visit | None = None
    reason: str = ""
    # Whether something is drawn there already.
    joins: bool = False


@dataclass(frozen=True)
class StruckPage:
    """A drawing that was struck: what it showed. `joins`: something stands in the visit meanwhile."""

    views: tuple[ViewPicture, ...]
    sentences: tuple[str, ...]
    entries: int
    joins: bool


def struck_page(strike: EnteredInError) -> StruckPage:
    moving = queries.what_was_struck(strike)
    marks = moving.marks
    return StruckPage(
        views=picture.views_of(marks),
        sentences=describe.drawing(marks) if marks else (),
        entries=len(moving.rows),
        joins=bool(state_of_drawing(strike.visit)),
    )


def move_page(
    user: User,
    visit: Visit,
    *,
    text: str = "",
    chosen: str = "",
    layers: Collection[str] | None = None,
    back: EnteredInError | None = None,
    **more: Any,
) -> MovePage:
    whole = queries.what_moves(visit, back)
    moving = whole.on(layers) if more.get("sure") else whole
    marks = moving.marks
    return MovePage(
        views=picture.views_of(marks),
        sentences=describe.drawing(marks) if marks else (),
        entries=len(moving.rows),
        visits=queries.targets(user, visit, text),
        text=text,
        chosen=chosen,
        layers=tuple(
            (str(layer), TITLES[layer], layers is None or layer in layers) for layer in whole.layers
        ),
        back=back,
        **more,
    )
