"""What the page of two drawings that are laid over each other may use."""

from collections.abc import Mapping
from dataclasses import dataclass
from uuid import UUID

from bodymaps import describe
from bodymaps.compare import Amount, Compared, compare
from bodymaps.compare_file import Redraw, rules
from bodymaps.spine import Distance
from charting.patients.models import Patient
from charting.progress import overlay
from charting.progress.compare_queries import DrawnVisits, drawn_visits, sizes_of
from charting.progress.likeness_scale import Scale, scale
from charting.progress.overlay import OverlayView, Part
from charting.progress.plots import day
from charting.progress.small_drawings import SmallDrawing, small_drawings
from charting.visits.models import Visit

UNKNOWN = (
    "That is no visit of this person with a drawing. Choose one from the list; the first and last are shown."
)
SAME = "This is the same visit twice, so nothing can have changed. Choose another one."
TURNED = "The earlier drawing is always taken as the one before: the two were exchanged."


@dataclass(frozen=True)
class Choice:
    """One visit that can be chosen, as before or as after."""

    visit: UUID
    words: str
    is_before: bool
    is_after: bool


@dataclass(frozen=True)
class Line:
    """One row of the table of areas, ready to print. `share`: of what was drawn before, or is drawn now."""

    label: str
    cm2: str
    percent: str
    share: str
    person: str


@dataclass(frozen=True)
class KindLine:
    """One kind of pain: its sizes and what became of it."""

    label: str
    state: str
    before: str
    after: str
    gone: str
    new: str
    unchanged: str


@dataclass(frozen=True)
class SideLine:
    """How far from the spine pain lies on one side, before and after, in cm; "" for none."""

    side: str
    mean_before: str
    mean_after: str
    farthest_before: str
    farthest_after: str
    words: str


@dataclass(frozen=True)
class Facts:
    """Everything the two drawings say. `lost` and `gained` are regions; `has_person`: the table has a column
    for the cm² of this person.
    """

    lines: tuple[Line, ...]
    has_person: bool
    kinds: tuple[KindLine, ...]
    lost: tuple[str, ...]
    gained: tuple[str, ...]
    sides: tuple[SideLine, ...]
    limbs: tuple[str, ...]
    likeness: str
    scale: Scale | None
    redraw: Redraw
    least_cm: str


@dataclass(frozen=True)
class ComparePage:
    """`notice`: what is wrong with what was asked, "" for nothing; `is_refused`: the answer is not what was
    asked for. `views` and `facts` are empty unless two drawings can be laid over each other.
    """

    patient: Patient
    choices: tuple[Choice, ...]
    notice: str
    is_refused: bool
    before: SmallDrawing | None = None
    after: SmallDrawing | None = None
    before_day: str = ""
    after_day: str = ""
    views: tuple[OverlayView, ...] = ()
    key: tuple[Part, ...] = ()
    facts: Facts | None = None


def compare_page(patient: Patient, before: str, after: str) -> ComparePage:
    """`before` and `after` are ids as they were sent, "" for the first and the last drawn visit."""
    drawn = drawn_visits(patient)
    if len(drawn.visits) < 2:
        return ComparePage(patient, _choices(drawn, ()), "", is_refused=False)
    first, second, notice, is_refused = _chosen(drawn, before, after)
    found = _compared(drawn, first, second)
    smalls = small_drawings((first, second), drawn.painted)
    zone = patient.practice.zone
    return ComparePage(
        patient=patient,
        choices=_choices(drawn, (first, second)),
        notice=notice,
        is_refused=is_refused,
        before=smalls[0],
        after=smalls[1],
        before_day=day(first.started_at, zone),
        after_day=day(second.started_at, zone),
        views=overlay.overlay(found),
        key=overlay.key(),
        facts=facts_of(found),
    )


def _chosen(drawn: DrawnVisits, before: str, after: str) -> tuple[Visit, Visit, str, bool]:
    """Which two, what to say about it, and whether what was asked for can't be had."""
    first = drawn.one(before) if before else drawn.visits[0]
    second = drawn.one(after) if after else drawn.visits[-1]
    if first is None or second is None:
        return drawn.visits[0], drawn.visits[-1], UNKNOWN, True
    if first == second:
        return first, second, SAME, False
    if drawn.visits.index(first) > drawn.visits.index(second):
        return second, first, TURNED, False
    return first, second, "", False


def _compared(drawn: DrawnVisits, first: Visit, second: Visit) -> Compared:
    before, after = (drawn.painted[visit.pk].marks for visit in (first, second))
    height, weight = sizes_of(second, first)
    return compare(before, after, height, weight)


def _choices(drawn: DrawnVisits, chosen: tuple[Visit, ...]) -> tuple[Choice, ...]:
    return tuple(
        Choice(
            visit.pk,
            _choice_words(visit, drawn),
            is_before=visit in chosen[:1],
            is_after=visit in chosen[1:],
        )
        for visit in drawn.visits
    )


def _choice_words(visit: Visit, drawn: DrawnVisits) -> str:
    painted = drawn.painted[visit.pk]
    said = "no pain" if painted.said_no_pain else f"{percent(painted.percent)} of the body"
    local = visit.started_at.astimezone(visit.patient.practice.zone)
    return f"{local.day} {local:%b %Y, %H:%M}: {said}"


def facts_of(found: Compared) -> Facts:
    change, redraw = found.change, rules().redraw
    return Facts(
        lines=(
            _line("Before", change.before),
            _line("After", change.after),
            _line("Gone", change.gone, _share(change.gone_share, "of what was drawn before")),
            _line("New", change.new, _share(change.new_share, "of what is drawn after")),
            _line("Unchanged", change.unchanged),
        ),
        has_person=change.before.person_cm2 is not None,
        kinds=_kinds(found),
        lost=found.lost,
        gained=found.gained,
        sides=tuple(
            SideLine(
                one.side,
                *_both(one.before, one.after, "mean"),
                *_both(one.before, one.after, "farthest"),
                one.words,
            )
            for one in found.sides
        ),
        limbs=tuple(limb.words for limb in found.limbs),
        likeness=found.likeness.words,
        scale=scale(found.likeness.jaccard, redraw),
        redraw=redraw,
        least_cm=cm(rules().least_mm),
    )


def _kinds(found: Compared) -> tuple[KindLine, ...]:
    return tuple(
        KindLine(
            one.label,
            one.state,
            *(cm2(size) for size in (one.before, one.after, one.gone, one.new, one.unchanged)),
        )
        for one in found.kinds
    )


def _line(label: str, amount: Amount, share: str = "") -> Line:
    return Line(label, cm2(amount.cm2), percent(amount.percent), share, _person(amount.person_cm2))


def _person(by_formula: Mapping[str, float] | None) -> str:
    """ "375 or 374": by Mosteller, by Du Bois."""
    if by_formula is None:
        return ""
    low, high = (f"{by_formula[name]:.0f}" for name in ("mosteller", "du_bois"))
    return low if low == high else f"{low} or {high}"


def _share(share: float | None, of: str) -> str:
    return "" if share is None else f"{round(100 * share)} % {of}"


def _both(before: Distance | None, after: Distance | None, what: str) -> tuple[str, str]:
    first, second = ("" if one is None else cm(getattr(one, what)) for one in (before, after))
    return first, second


def cm2(value: float) -> str:
    """ "38"; a small spot is never "0", and nothing is."""
    return "0" if not value else describe.cm2(100 * value).removesuffix(" cm²")


def percent(value: float) -> str:
    """ "4.5 %"; what is drawn is never printed as nothing."""
    return "under 0.1 %" if 0 < value < 0.05 else f"{value:.1f} %"


def cm(mm: float) -> str:
    return f"{mm / 10:.0f}"
