"""Which findings speak for which root, plexus and nerve."""

from bodymaps.reasoning import items, signs
from bodymaps.reasoning.signs import Candidate
from bodymaps.words import sentence_case
from charting.rules.sections.told import Section, Told


def sections() -> tuple[Section, ...]:
    return (_signs(),)


def _signs() -> Section:
    data = signs.load()
    about = "Which findings speak for which root, plexus and nerve. Not tested says nothing."
    found = (*(_nerve(*one) for one in enumerate(data.candidates, 1)), *_apart(data))
    return Section("nerves", "Signs of roots and nerves", about, "nerve_signs.toml", data.version, found)


def _nerve(number: int, one: Candidate) -> Told:
    """A nerve may stand there in several parts."""
    lists = (("Expected", one.main), ("Some have", one.also), ("Tests", one.tests))
    lines = [(what, "; ".join(_sign(sign) for sign in found)) for what, found in lists if found]
    lines += [("Note", one.note)] if one.note else []
    sources = tuple(f"{source.work} ({source.status})" for source in one.sources)
    return Told(f"{one.id}-{number}", sentence_case(one.name), tuple(lines), sources)


def _sign(name: str) -> str:
    item = items.findings().items[signs.sign(name).keys[0]]
    group = next(group for group in items.findings().groups if group.id == item.group)
    return f"{group.title.partition(',')[0].lower()} {item.label}"


def _apart(data: signs.Signs) -> tuple[Told, ...]:
    names = {(one.layer, one.id): one.name for one in data.candidates}
    return tuple(
        Told(
            f"apart-{number}",
            f"{sentence_case(names[one.between[0]])} or {names[one.between[1]]}",
            (("Told apart by", one.words),),
            tuple(f"{source.work} ({source.status})" for source in one.sources),
        )
        for number, one in enumerate(data.apart, 1)
    )
