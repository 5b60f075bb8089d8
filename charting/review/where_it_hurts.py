"""Where people of the selection hurt: the map of both views, and the same by region of the body."""

from base64 import b64encode
from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass

from bodymaps import figure, parts
from bodymaps.heat import count
from bodymaps.heat_picture import picture
from charting.review import queries
from charting.review.chosen import Chosen
from charting.review.numbers import Shade, shades_for
from charting.review.queries import Selected
from charting.review.shown import Shown, shown
from charting.staff.models import User

TITLES = {"front": "Front", "back": "Back"}


@dataclass(frozen=True)
class MapOf:
    """One view. `picture`: an address with the picture itself in it; `words`: what it shows."""

    title: str
    picture: str
    words: str


@dataclass(frozen=True)
class RegionRow:
    label: str
    people: Shown


@dataclass(frozen=True)
class Places:
    """`shades`: of both maps. `rows`: the regions with enough people, in the order of the body."""

    maps: tuple[MapOf, ...]
    shades: tuple[Shade, ...]
    rows: tuple[RegionRow, ...]


def places(user: User, chosen: Chosen, among: Selected) -> Places:
    """One query."""
    counted = count(queries.drawn(user, chosen, among), among.keys)
    told = tuple(row for row in _regions(among) if not row.people.is_blank)
    cells = {view: [shown(cell.people, cell.key) for cell in counted[view]] for view in figure.VIEWS}
    shades = shades_for(max(one.least for here in cells.values() for one in here))
    maps = tuple(_map(view, cells[view], shades) for view in figure.VIEWS)
    return Places(maps, shades, told)


def _regions(among: Selected) -> list[RegionRow]:
    """Every region of the body, in the order of the body."""
    people: dict[int, set[int]] = defaultdict(set)
    for visit, person in among.person.items():
        for part in among.touched.get(visit, ()):
            people[part].add(person)
    return [RegionRow(parts.part(key).label, among.shown(people[at])) for at, key in enumerate(parts.KEYS)]


def _map(view: str, told: Sequence[Shown], shades: Sequence[Shade]) -> MapOf:
    """A step of counts never straddles two shades (numbers): both begin at multiples of five."""
    chosen = [sum(one.least >= shade.least for shade in shades) for one in told]
    made = b64encode(picture(view, chosen, [shade.fill for shade in shades])).decode()
    return MapOf(TITLES[view], f"data:image/png;base64,{made}", _words(view, told))


def _words(view: str, told: Sequence[Shown]) -> str:
    most = max(told, key=lambda one: one.least)
    if most.is_blank:
        return f"Figure from the {view}: no place is shaded."
    return f"Figure from the {view}: at most {most.words} people at one place. The table tells it by region."
