"""What a treatment was done to: a muscle of one side, an area of the body, or the person as a whole."""

from __future__ import annotations

from dataclasses import dataclass, replace

from bodymaps.atlas import SIDES, Atlas
from bodymaps.reasoning import consent_areas
from bodymaps.words import sentence_case
from charting.treatment.models import TreatmentEntry

WHOLE, AREA = "whole", "area:"
OTHER_SIDE = {"right": "left", "left": "right"}
THE_PERSON = "The person as a whole"


@dataclass(frozen=True)
class Where:
    """`muscle` with its `side` and perhaps a `site` (ids of the atlas), or an `area` (consent_areas.toml)
    with its side where it has one; nothing at all is the person as a whole. A muscle that the practice added
    has both: the area says where it lies.
    """

    muscle: str = ""
    side: str = ""
    site: str = ""
    area: str = ""

    @property
    def kind(self) -> str:
        """One of techniques.PLACES."""
        return "muscle" if self.muscle else "area" if self.area else "whole"

    @property
    def token(self) -> str:
        """ "infraspinatus.right.upper_belly", "area:shoulder.right", "whole": in an address and a form."""
        said = ".".join(filter(None, (self.muscle or self.area, self.side, self.site)))
        return f"{AREA}{said}" if self.kind == "area" else said or WHOLE

    @property
    def other_side(self) -> Where | None:
        return replace(self, side=OTHER_SIDE[self.side]) if self.side else None

    @property
    def spot(self) -> Where:
        """The muscle without its site: what one card of the page stands for."""
        return Where(self.muscle, self.side) if self.muscle else self

    @property
    def is_unplaced(self) -> bool:
        """A muscle of which only the practice can say where it lies."""
        return bool(self.muscle) and not consent_areas.of_muscle(self.muscle, self.side)

    @property
    def consent_keys(self) -> tuple[str, ...]:
        """The areas that a consent has to name, as keys of consent_areas; () where none is known."""
        if self.muscle and not self.is_unplaced:
            return consent_areas.of_muscle(self.muscle, self.side, self.site)
        area = consent_areas.areas().get(self.area)
        if area is None:
            return ()
        return (f"{area.id} {self.side}" if area.sides else area.id,)


def of(row: TreatmentEntry) -> Where:
    return Where(row.muscle, row.side, row.site, row.area)


def parse(token: str) -> Where:
    """The reverse of `token`. What it names need not exist: `wrong` says so."""
    if token in ("", WHOLE):
        return Where()
    is_area = token.startswith(AREA)
    name, _, rest = token.removeprefix(AREA).partition(".")
    side, _, site = rest.partition(".")
    return Where(area=name, side=side) if is_area else Where(muscle=name, side=side, site=site)


def wrong(at: Where, known: Atlas) -> str:
    """ "" when there is such a place, else what to mend."""
    if at.muscle:
        return _wrong_muscle(at, known)
    area = consent_areas.areas().get(at.area)
    if at.area and area is None:
        return "Choose an area of the list."
    if area and area.sides and at.side not in SIDES:
        return "Choose right or left."
    return "Leave the side out: this area has none." if area and at.side and not area.sides else ""


def _wrong_muscle(at: Where, known: Atlas) -> str:
    muscle = known.muscles.get(at.muscle)
    if muscle is None:
        return "The atlas does not know this muscle."
    if at.side not in SIDES:
        return "Choose right or left."
    if at.site not in ("", *(site.id for site in muscle.sites)):
        return "The atlas does not know this place of the muscle."
    is_area = not at.area or (at.is_unplaced and at.area in consent_areas.areas())
    return "" if is_area else "Choose an area of the list."


def name_of(at: Where, known: Atlas) -> str:
    """ "Infraspinatus", "Low back", without a side; an id in plain letters where it is not known any more."""
    if at.muscle:
        muscle = known.muscles.get(at.muscle)
        return sentence_case(muscle.name if muscle else at.muscle.replace("_", " "))
    area = consent_areas.areas().get(at.area)
    return area.label if area else sentence_case(at.area.replace("_", " ")) or THE_PERSON


def site_words(at: Where, known: Atlas) -> str:
    """Where in the muscle, in the words of the atlas; "" for the muscle as a whole."""
    muscle = known.muscles.get(at.muscle)
    named = {site.id: site.where for site in muscle.sites} if muscle else {}
    return named.get(at.site, at.site.replace("_", " ")) if at.site else ""


def words_of(at: Where, known: Atlas) -> str:
    """ "Infraspinatus, right"; with its site "Infraspinatus (upper belly), right"."""
    site = f" ({at.site.replace('_', ' ')})" if at.site else ""
    side = f", {at.side}" if at.side else ""
    return f"{name_of(at, known)}{site}{side}"
