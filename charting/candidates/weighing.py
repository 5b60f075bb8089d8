"""What speaks for and against each candidate, the order with evidence, and what tells candidates of the same
area apart: in words for the page.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from bodymaps import words
from bodymaps.reasoning import clusters
from bodymaps.reasoning.evidence import Evidence, Judged
from bodymaps.reasoning.evidence import Line as Said
from bodymaps.reasoning.evidence_nerves import known as nerve_rules
from bodymaps.reasoning.same_area import SameArea
from charting.candidates import others
from charting.candidates.picks import Pick
from charting.candidates.queries import Ranked

# One and several of each layer.
LAYERS = {
    "muscle": ("muscle", "muscles"),
    "root": ("nerve root", "roots"),
    "plexus": ("plexus", "plexuses"),
    "peripheral_nerve": ("nerve", "nerves"),
    "joint_referral": ("joint", "joints"),
    "visceral": ("organ", "organs"),
}
MINUS = "\N{MINUS SIGN}"
# Of which subject the cord is.
CORD = "myelopathy"

HELD_BACK = "What speaks for and against it waits until the signs of danger are decided."
OF_THE_WHOLE = "What speaks for and against it is said of the whole drawing, not of one area."
NOT_NAMED = "Neither drawing nor findings name it: nothing was held against it."

By = tuple[str, str, str]


@dataclass(frozen=True)
class Sum:
    """ "0.53 + 0.29 = 0.82": two decimals that add up as they are printed."""

    agreement: str
    sign: str
    evidence: str
    total: str


@dataclass(frozen=True)
class SaidLine:
    """One line; `weight` is signed ("+0.13"). `counted`: False when a stronger line about the same counts."""

    words: str
    because: str
    source: str
    status: str
    weight: str
    counted: bool


@dataclass(frozen=True)
class Panel:
    """What is said of one candidate. `capped` says that more speaks than is counted, "" when not."""

    sum: Sum
    agreement_of: str
    moved: str
    counts: str
    speaks_for: tuple[SaidLine, ...]
    against: tuple[SaidLine, ...]
    not_again: tuple[SaidLine, ...]
    capped: str
    same_areas: tuple[SameArea, ...]

    @property
    def shares_with(self) -> str:
        """ "9 others": how many candidates it shares an area with."""
        found = {(one.layer, one.id, one.side) for group in self.same_areas for one in group.members}
        rest = len(found) - 1
        return "1 other" if rest == 1 else f"{rest} others"

    @property
    def is_empty(self) -> bool:
        return not (self.speaks_for or self.against or self.not_again)


@dataclass(frozen=True)
class EvidenceLine:
    """One candidate in the order with evidence."""

    pick: str
    place: int
    name: str
    side: str
    layer: str
    sum: Sum
    moved: str
    counts: str
    is_urgent: bool
    is_picked: bool


@dataclass(frozen=True)
class ClusterLine:
    title: str
    side: str
    reading: str


def lines_of(found: Ranked, picks: dict[By, str], shown: str) -> tuple[EvidenceLine, ...]:
    """The order with evidence, all of it. `picks`: what the geometry's list of muscles would pick; `shown` is
    the key of the pick.
    """
    if not found.evidence:
        return ()
    places = _places(found.evidence)
    return tuple(
        EvidenceLine(
            pick=(pick := picks.get(_by(one)) or pick_of(one).key),
            place=one.place,
            name=_name(one),
            side=_side(one.side),
            layer=LAYERS[one.layer][0],
            sum=sum_of(one),
            moved=moved(one, places[_by(one)]),
            counts=counts_of(one),
            is_urgent=_is_urgent(one, found),
            is_picked=bool(shown) and _same_pick(pick, shown),
        )
        for one in found.evidence.order
    )


def panel_of(found: Ranked, pick: Pick | None) -> Panel | None:
    """What is said of a pick; None when it is no candidate, or evidence is held back."""
    judged = judged_of(found, pick)
    if not judged or not found.evidence:
        return None
    again = tuple(line for line in judged.lines if not line.counted)
    return Panel(
        sum=sum_of(judged),
        agreement_of=_agreement_of(judged, found),
        moved=moved(judged, _places(found.evidence)[_by(judged)]),
        counts=counts_of(judged),
        speaks_for=_lines(line for line in judged.speaks_for if line.counted),
        against=_lines(line for line in judged.speaks_against if line.counted),
        not_again=_lines(again),
        capped=_capped(judged),
        same_areas=tuple(one for one in found.same_areas if _concerns(one, judged)),
    )


def why_no_panel(found: Ranked, pick: Pick | None, area: int) -> str:
    """Why nothing is said of a pick beside its facts; "" where there is a panel, or no pick."""
    if pick is None:
        return ""
    if found.flags.holds_back:
        return HELD_BACK
    if area:
        return OF_THE_WHOLE
    return "" if judged_of(found, pick) else NOT_NAMED


def counts_in(found: Ranked, area: int = 0) -> dict[By, str]:
    """ "3 for, 1 against" of every candidate, "" where nothing is said; nothing for one area alone."""
    return {_by(one): counts_of(one) for one in found.evidence.order} if found.evidence and not area else {}


def counts_of(judged: Judged) -> str:
    """Of the lines that count."""
    for_, against = (
        sum(line.counted for line in lines) for lines in (judged.speaks_for, judged.speaks_against)
    )
    said = [f"{for_} for"] if for_ else []
    return ", ".join([*said, f"{against} against"] if against else said)


def cluster_lines(found: Ranked) -> tuple[ClusterLine, ...]:
    """Clusters of tests about the cord, or about a root among the candidates of the same side."""
    return tuple(
        ClusterLine(one.title, one.side, one.reading)
        for one in clusters.of(found.facts.case)
        if found.evidence and (one.about == CORD or _about_candidate(one, found.evidence))
    )


def judged_of(found: Ranked, pick: Pick | None) -> Judged | None:
    if pick is None or found.evidence is None:
        return None
    return found.evidence.of(layer_of(pick), pick.id, pick.side)


def layer_of(pick: Pick) -> str:
    return pick.layer or ("root" if pick.is_root else "muscle")


def pick_of(judged: Judged) -> Pick:
    """What lays a candidate over the drawing: all sites of a muscle."""
    if judged.layer == "muscle":
        return Pick(judged.id, judged.side, "all")
    return Pick(judged.id, judged.side, layer="" if judged.layer == "root" else judged.layer)


def sum_of(judged: Judged) -> Sum:
    """Agreement and total are rounded; evidence is what lies between them as printed, so that it adds up."""
    agreement, total = round(100 * judged.agreement), round(100 * judged.total)
    evidence = total - agreement
    return Sum(
        _decimals(agreement), "+" if evidence >= 0 else MINUS, _decimals(abs(evidence)), _decimals(total)
    )


def moved(judged: Judged, place: int) -> str:
    """How its place among its layer changed; `place` is that in the order with evidence."""
    several = LAYERS[judged.layer][1]
    if judged.geometry_place is None:
        return "not named by place"
    if judged.geometry_place == place:
        return f"{ordinal(place)} of the {several}, as by place"
    return f"{ordinal(judged.geometry_place)} of the {several} by place, {ordinal(place)} with evidence"


def ordinal(number: int) -> str:
    """1 -> "1st", 12 -> "12th"."""
    ending = {1: "st", 2: "nd", 3: "rd"}.get(number % 10, "th") if number % 100 not in (11, 12, 13) else "th"
    return f"{number}{ending}"


def _places(evidence: Evidence) -> dict[By, int]:
    """The place of each among those of its layer."""
    seen: dict[str, int] = {}
    found = {}
    for one in evidence.order:
        seen[one.layer] = seen.get(one.layer, 0) + 1
        found[_by(one)] = seen[one.layer]
    return found


def _by(one: Judged) -> By:
    return one.layer, one.id, one.side


def _name(one: Judged) -> str:
    """A root by its level alone: what it is stands beside it."""
    return words.root(one.id) if one.layer == "root" else words.sentence_case(one.name)


def _side(side: str) -> str:
    return "" if side == "midline" else side


def _same_pick(pick: str, shown: str) -> bool:
    """Another site of the same muscle is the same candidate."""
    return pick.split(".")[:2] == shown.split(".")[:2]


def _is_urgent(one: Judged, found: Ranked) -> bool:
    return one.layer == "visceral" and found.atlas.structures["visceral"][one.id].urgent


def _decimals(hundredths: int) -> str:
    return f"{MINUS if hundredths < 0 else ''}{abs(hundredths) / 100:.2f}"


def _agreement_of(judged: Judged, found: Ranked) -> str:
    """What the agreement is with, in words."""
    areas = found.explanation.rankings if found.explanation else ()
    if judged.geometry_place is None:
        return "not named by place, so its agreement counts as 0"
    if judged.layer == "muscle" and areas:
        return "agreement with the whole drawing, every area counting the same"
    if areas and found.ranking:
        for one, area in others.every(judged.layer, found.ranking, areas):
            if area and (one.id, one.side) == (judged.id, judged.side):
                return f"named for area {area}, which counts as one of {len(areas)}: agreement with the whole"
    return f"agreement with {judged.agreement_of}"


def _lines(said: Iterable[Said]) -> tuple[SaidLine, ...]:
    return tuple(
        SaidLine(
            words=one.words,
            because=words.sentence_case("; ".join(one.because)),
            source=one.source,
            status=one.status,
            weight=_signed(one.weight),
            counted=one.counted,
        )
        for one in said
    )


def _signed(number: float) -> str:
    return f"{'+' if number >= 0 else MINUS}{abs(number):.2f}"


def _capped(judged: Judged) -> str:
    spoken = sum(line.weight for line in judged.lines if line.counted)
    if abs(spoken) <= abs(judged.evidence) + 1e-9:
        return ""
    return f"Together {_signed(spoken)}; no more than {_signed(judged.evidence)} counts."


def _concerns(group: SameArea, judged: Judged) -> bool:
    """An organ that is single stands in groups of both sides: at it, those of its own."""
    here = judged.side in (group.side, "midline")
    return here and any((one.layer, one.id, one.side) == _by(judged) for one in group.members)


def _about_candidate(one: clusters.Cluster, evidence: Evidence) -> bool:
    roots: Sequence[str] = nerve_rules().roots.get(one.about, ())
    return any(evidence.of("root", root, one.side) for root in roots)
