"""All sentences that the record gives, and which of them are offered for which area. No query."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from charting.assessment import certainty
from charting.assessment.choices import thought_of
from charting.assessment.made import MUSCLE, NERVES, Made, Record, small, with_side
from charting.assessment.of_danger import of_danger, of_gaps
from charting.assessment.of_muscles import by_of, of_muscles
from charting.assessment.of_nerves import of_nerves, unexamined
from charting.assessment.of_tests import of_tests
from charting.assessment.places import Place, numbers_for
from charting.assessment.written import OPEN, RULED_OUT, SOURCE, By, Source, Written

BOTH = "both"


@dataclass(frozen=True)
class Assembled:
    """`by_key`: every sentence of an area as the record has it now; `offered`: those that stand there to be
    taken, in the order they were made.
    """

    by_key: Mapping[str, Made]
    offered: tuple[Made, ...]


def assemble(record: Record, places: Sequence[Place], written: Mapping[int, Written]) -> dict[int, Assembled]:
    """By number of the area. `written`: what was written about each so far."""
    every = tuple(_every(record, thought_of(places, written)))
    where = {made.key: numbers_for(made, places, written) for made in every}
    return {place.number: _assembled(place.number, every, where, record, written) for place in places}


def _every(record: Record, named: Sequence[By]) -> Iterator[Made]:
    yield from of_muscles(record)
    yield from of_nerves(record, named)
    yield from of_tests(record)
    yield from of_danger(record)
    yield from of_gaps(record)


def _assembled(
    number: int,
    every: Sequence[Made],
    where: Mapping[str, set[int]],
    record: Record,
    written: Mapping[int, Written],
) -> Assembled:
    said = written.get(number, Written())
    mine = [*every, *_of_sources(said, record)]
    told = {made.key: _as_judged(made, said) for made in mine}
    offered = (told[made.key] for made in mine if number in where.get(made.key, {number}))
    return Assembled(told, tuple(made for made in offered if not said.sentence(made.key)))


def _of_sources(said: Written, record: Record) -> Iterator[Made]:
    """What follows from the sources the clinician named: those nothing is on record of, and that muscle and
    nerve do not exclude each other.
    """
    palpated = {by_of(found) for found in (*record.case.felt, *record.unexamined)}
    for source in said.sources:
        if source.by[0] in NERVES and (made := unexamined(source.by, record)):
            yield made
        if source.by[0] == MUSCLE and source.by not in palpated:
            text = f"{with_side(source.by, record.atlas)}: not palpated."
            yield Made(f"unexamined:{':'.join(source.by)}", OPEN, text, source.by)
    muscles, nerves = (_named(said, layers) for layers in ((MUSCLE,), NERVES))
    if muscles and nerves:
        both = f"{small(_names(muscles, record))} and {small(_names(nerves, record))}"
        yield Made(BOTH, SOURCE, f"Both can take part: {both}; one does not exclude the other.")


def _named(said: Written, layers: Sequence[str]) -> list[Source]:
    known = certainty.load()
    return [one for one in said.sources if one.layer in layers and not known.excludes(one.certainty)]


def _names(sources: Sequence[Source], record: Record) -> str:
    return ", ".join(with_side(source.by, record.atlas).replace(", ", " ") for source in sources)


def _as_judged(made: Made, said: Written) -> Made:
    """A sentence about a source that the clinician ruled out says how it was ruled out."""
    source = said.source(made.by) if made.by else None
    if source and made.about == SOURCE and certainty.load().excludes(source.certainty):
        return replace(made, about=RULED_OUT)
    return made
