"""One muscle of the list as the page shows it: what stands in its form, what the signs make of it, and what
the hand needs from the atlas.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field

from bodymaps.atlas import ALL_SITES, Atlas, Muscle
from bodymaps.reasoning import felt
from bodymaps.reasoning.felt import Felt, Sign, Verdict
from bodymaps.reasoning.items import NOT_TESTED
from charting.atlas import facts, shown
from charting.atlas.facts import Fact, Risk, entry_url
from charting.atlas.kinds import BY_SLUG
from charting.atlas.shown import LayerPicture
from charting.examination.felt_limits import GRADES
from charting.examination.models import MuscleFinding
from charting.examination.placed import name_of
from charting.examination.queries import as_felt
from charting.examining import one_tap
from charting.examining.forms import trial_names, values_of
from charting.examining.one_tap import OneTap

TO_EXAMINE, THE_MUSCLE = "To examine it", "The muscle"
# What of the muscle itself helps the hand.
OF_THE_MUSCLE = ("Attachments",)
OTHER_SIDE = {"right": "left", "left": "right"}


@dataclass(frozen=True)
class Choice:
    """One button of a sign: the value it stores, what it is called, whether it is chosen."""

    value: str
    words: str
    is_chosen: bool


@dataclass(frozen=True)
class SignShown:
    sign: Sign
    choices: tuple[Choice, ...]
    error: str


@dataclass(frozen=True)
class SiteShown:
    """One place of a muscle to choose."""

    id: str
    where: str
    how_common: str
    note: str
    is_chosen: bool


@dataclass(frozen=True)
class SiteMark:
    """The point of one place of a muscle, in figure mm as text."""

    view: str
    site: str
    x: str
    y: str
    radius: str


@dataclass(frozen=True)
class Beside:
    """What the hand needs. `figures`: the places by view with what refers from them, each with the picture of
    the body below it; `marks`: their points.
    """

    facts: tuple[Fact, ...]
    risks: tuple[Risk, ...]
    url: str
    sites: tuple[SiteShown, ...]
    figures: tuple[tuple[LayerPicture, str], ...]
    marks: tuple[SiteMark, ...]


@dataclass(frozen=True)
class LineShown:
    """`values` stand in the form, as recorded or as typed; `wrong` says of a field what to mend; `clash`:
    what somebody else recorded meanwhile beside what was sent; `before`: what was found at the last visit.
    """

    row: MuscleFinding
    number: int
    name: str
    felt: Felt
    verdict: Verdict
    where: str
    values: Mapping[str, str]
    wrong: Mapping[str, str] = field(default_factory=dict)
    clash: tuple[tuple[str, str, str], ...] = ()
    beside: Beside | None = None
    before: str = ""

    @property
    def id(self) -> int:
        return int(self.row.pk)

    @property
    def side(self) -> str:
        return self.row.side

    @property
    def title(self) -> str:
        return f"{self.name}, {self.side}"

    @property
    def other_side(self) -> str:
        """The same on the other side, as it is put on the list: "masseter.left.deep"."""
        return ".".join((self.row.muscle, OTHER_SIDE[self.side], *filter(None, [self.row.site])))

    @property
    def is_removable(self) -> bool:
        return not self.felt.is_examined and not self.row.remark

    @property
    def signs(self) -> tuple[SignShown, ...]:
        return tuple(_sign(sign, self.values, self.wrong) for sign in felt.load().signs)

    @property
    def strength(self) -> tuple[Choice, ...]:
        return _choices(GRADES, self.values["strength"])

    @property
    def pain(self) -> tuple[Choice, ...]:
        least, most = felt.load().limits.pain
        return _choices([str(number) for number in range(least, most + 1)], self.values["pain"])

    @property
    def units(self) -> tuple[Choice, ...]:
        words = {unit: unit.replace("cm2", "cm²") for unit in felt.UNITS}
        return tuple(Choice(unit, words[unit], unit == self.values["unit"]) for unit in felt.UNITS)

    @property
    def trials(self) -> tuple[tuple[str, str, str], ...]:
        """(field, value, what is wrong with it)"""
        return tuple((name, self.values[name], self.wrong.get(name, "")) for name in trial_names())

    @property
    def mean(self) -> str:
        """ "mean 217 kPa = 2.21 kgf/cm² of 3" in both units; "" when nothing was measured."""
        return mean_words(self.felt)

    @property
    def has_more(self) -> bool:
        """Whether something stands among what is folded away."""
        return any(self.values[name] for name in (*trial_names(), "tip_cm2", "remark"))

    @property
    def results(self) -> tuple[tuple[OneTap, bool], ...]:
        """What one tap records, and whether it stands just so."""
        return tuple((each, each.is_what(self.values)) for each in one_tap.load())

    @property
    def says(self) -> tuple[str, ...]:
        """Everything recorded, in words: "taut band felt", "strength 4 of 5"."""
        return said_of(self.felt)


def mean_words(found: Felt) -> str:
    if not found.pressure:
        return ""
    count = len(found.pressure.trials)
    both = f"{found.pressure.kpa:.0f} kPa = {found.pressure.kgf_cm2:.2f} kgf/cm²"
    return f"mean of {count}: {both}" if count > 1 else both


def said_of(found: Felt) -> tuple[str, ...]:
    told = [(sign, found.signs.get(sign.id, "")) for sign in felt.load().signs]
    signs = [f"{sign.label.lower()} {sign.words_for(answer)}" for sign, answer in told if answer]
    grade = found.signs.get(felt.STRENGTH, "")
    strength = "strength not tested" if grade == NOT_TESTED else f"strength {grade} of 5" if grade else ""
    pain = "" if found.pain is None else f"pain {found.pain} of 10 on pressing"
    pressure = f"pressure pain threshold {mean_words(found)}" if found.pressure else ""
    return tuple(filter(None, [*signs, strength, pain, pressure]))


def lines_of(
    rows: Iterable[MuscleFinding], known: Atlas, last: Sequence[MuscleFinding] = (), *, is_full: bool = True
) -> tuple[LineShown, ...]:
    """The list as it stands on record; without `is_full` for the list alone, without what the hand needs."""
    before = {(row.muscle, row.side, row.site): row for row in last}
    return tuple(
        line_of(row, number, known, before.get((row.muscle, row.side, row.site)), is_full=is_full)
        for number, row in enumerate(rows, 1)
    )


def line_of(
    row: MuscleFinding, number: int, known: Atlas, last: MuscleFinding | None = None, *, is_full: bool = True
) -> LineShown:
    found, muscle = as_felt(row), known.muscles.get(row.muscle)
    return LineShown(
        row=row,
        number=number,
        name=name_of(found, known),
        felt=found,
        verdict=felt.verdict(found),
        where=next((site.where for site in muscle.sites if site.id == row.site), "") if muscle else "",
        values=values_of(row),
        beside=beside_of(muscle, row.side, row.site, known) if muscle and is_full else None,
        before=_before(last) if last else "",
    )


def beside_of(muscle: Muscle, side: str, site: str, known: Atlas) -> Beside:
    said = {section.title: section.facts for section in facts.sections(muscle, known, {})}
    own = tuple(fact for fact in said.get(THE_MUSCLE, ()) if fact.title in OF_THE_MUSCLE)
    boxes = shown.boxes_round(shown.spots_of(muscle, side, known))
    return Beside(
        facts=(*said.get(TO_EXAMINE, ()), *own),
        risks=facts.risks(muscle),
        url=f"{entry_url(BY_SLUG['muscle'], muscle.id)}?side={side}",
        sites=tuple(
            SiteShown(each.id, each.where, each.how_common, each.note, each.id == site)
            for each in muscle.sites
        ),
        figures=tuple(
            (layer, shown.bodies()[layer.view].relief)
            for layer in shown.layers(muscle, side, ALL_SITES, known, boxes)
        ),
        marks=_marks(muscle, side, known, boxes),
    )


def _marks(muscle: Muscle, side: str, known: Atlas, boxes: Mapping[str, str]) -> tuple[SiteMark, ...]:
    """Every place of a muscle that the figures show, in a size that suits their box."""
    found = ((site.id, shown.places_of(muscle, side, site.id, known)) for site in muscle.sites)
    return tuple(
        SiteMark(
            at.view,
            site,
            f"{at.x:.1f}",
            f"{at.y:.1f}",
            f"{float(shown.lines_for(boxes[at.view]).halo) * 1.7:.1f}",
        )
        for site, places in found
        for at in places
        if at.view in boxes
    )


def _before(last: MuscleFinding) -> str:
    found = as_felt(last)
    if not found.is_examined:
        return ""
    return f"{last.visit.started_at:%-d %B %Y}: {felt.verdict(found).words}"


def _sign(sign: Sign, values: Mapping[str, str], wrong: Mapping[str, str]) -> SignShown:
    said = values.get(sign.id, "")
    choices = tuple(Choice(answer, sign.words_for(answer), answer == said) for answer in felt.ANSWERS)
    return SignShown(sign, choices, wrong.get(sign.id, ""))


def _choices(values: Iterable[str], said: str) -> tuple[Choice, ...]:
    return tuple(Choice(value, value, value == said) for value in values)
