"""The sources that can be named for an area: what was examined first, then what drawing and findings suggest.

Nothing is chosen beforehand; everything else of the atlas can be named by hand.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from bodymaps.atlas import Atlas
from bodymaps.reasoning import felt
from charting.assessment.made import LAYERS, MUSCLE, ROOT, Made, Record, name_of
from charting.assessment.of_muscles import by_of
from charting.assessment.places import Place
from charting.assessment.written import By, Written
from charting.candidates.queries import Ranked
from charting.candidates.weighing import LAYERS as WORDS

# How many of a layer are offered; how many rows stand there before the rest is folded.
MOST = {"muscle": 8, "root": 3, "plexus": 1, "peripheral_nerve": 3, "joint_referral": 3, "visceral": 3}
SHOWN = 5


@dataclass(frozen=True)
class Choice:
    """One source that can be named; `note` says in few words what is on record of it. `certainty`: an id of
    certainty.toml, "" as long as the clinician named none.
    """

    by: By
    name: str
    note: str
    certainty: str = ""

    @property
    def field(self) -> str:
        return f"c-{'.'.join(self.by)}"

    @property
    def side(self) -> str:
        return "" if self.by[2] == "midline" else self.by[2]

    @property
    def label(self) -> str:
        return f"{self.name}, {self.side}" if self.side else self.name


@dataclass(frozen=True)
class Choices:
    first: tuple[Choice, ...]
    more: tuple[Choice, ...]


def thought_of(places: Iterable[Place], written: Mapping[int, Written]) -> tuple[By, ...]:
    """What is offered or named anywhere: of these the record is asked."""
    offered = [by for place in places for by in offered_in(place)]
    named = [source.by for said in written.values() for source in said.sources]
    return tuple(dict.fromkeys([*named, *offered]))


def offered_in(place: Place) -> tuple[By, ...]:
    """The best few of each layer."""
    named = place.named or {}
    return tuple(
        by
        for layer in LAYERS
        for by in sorted((by for by in named if by[0] == layer), key=lambda by: -named[by])[: MOST[layer]]
    )


def choices_of(
    place: Place,
    said: Written,
    made: Sequence[Made],
    record: Record,
    found: Ranked,
    certain: Mapping[By, str],
) -> Choices:
    """`made`: the sentences of this place. `certain`: what is chosen now, on record or typed."""
    examined = _examined(place, made, record)
    named = [*(source.by for source in said.sources), *(by for by, word in certain.items() if word)]
    suggested = _best_first(offered_in(place), found)
    order = list(dict.fromkeys([*named, *examined, *suggested]))
    count = max(SHOWN, len(dict.fromkeys([*named, *examined])))
    rows = [_choice(by, said, record, certain.get(by, "")) for by in order]
    return Choices(tuple(rows[:count]), tuple(rows[count:]))


def _examined(place: Place, made: Sequence[Made], record: Record) -> list[By]:
    """The muscles with a trigger point that this area suggests or that stand here, active before latent."""
    here = {*offered_in(place), *(each.by for each in made)}
    judged = [(by_of(one), felt.verdict(one)) for one in record.case.felt if by_of(one) in here]
    met = [(felt.RESULTS.index(verdict.result), by) for by, verdict in judged if verdict.is_met]
    return [by for _, by in sorted(met, key=lambda pair: pair[0])]


def _best_first(offered: Iterable[By], found: Ranked) -> list[By]:
    """In the order with evidence, where there is one."""
    judged = found.evidence.order if found.evidence else ()
    places = {(one.layer, one.id, one.side): one.place for one in judged}
    return sorted(offered, key=lambda by: places.get(by, len(places) + 1))


def _choice(by: By, said: Written, record: Record, certainty: str) -> Choice:
    source = said.source(by)
    name = source.name if source else name_of(by, record.atlas)
    return Choice(by, name, _note(by, record), certainty)


def _note(by: By, record: Record) -> str:
    """What the hand found of a muscle; of everything else what it is."""
    verdicts = [felt.verdict(one).words for one in record.case.felt if by_of(one) == by]
    if by[0] == MUSCLE:
        return "; ".join(verdicts) or "not examined"
    return "" if by[0] == ROOT else WORDS[by[0]][0]


def sides_in(layer: str, name: str, known: Atlas) -> tuple[str, ...]:
    """The sides an entry of the atlas has; () for what is not in it."""
    if layer == MUSCLE:
        return ("right", "left") if name in known.muscles else ()
    if layer == ROOT:
        return ("right", "left") if name in known.dermatomes else ()
    held = known.structures.get(layer, {})
    return tuple(held[name].held_sides) if name in held else ()
