"""What the atlas says of an entry, under plain headings: the same for every kind of entry."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from django.urls import reverse

from bodymaps.atlas import Atlas, Dermatome, Muscle
from bodymaps.patterns import Structure
from bodymaps.words import root as root_name
from bodymaps.words import sentence_case
from charting.atlas.kinds import BY_LAYER, BY_SLUG, Entry, Kind, entries, name_of

Alike = Mapping[str, tuple[str, ...]]
ALIKE = "A drawing cannot tell them apart, at least for one point of each: examine both."


@dataclass(frozen=True)
class Line:
    """One thing said; `url` leads to the entry it names."""

    words: str
    url: str = ""


@dataclass(frozen=True)
class Fact:
    """A heading and what stands under it. `is_row`: short names that stand beside each other. `note`: what
    the heading means.
    """

    title: str
    lines: tuple[Line, ...]
    is_row: bool = False
    note: str = ""


@dataclass(frozen=True)
class Section:
    title: str
    facts: tuple[Fact, ...]


@dataclass(frozen=True)
class Risk:
    """A structure that a needle can hurt. `source` is "" for cautions that stand without one."""

    structure: str
    words: str
    source: str


def sections(entry: Entry, known: Atlas, alike: Alike) -> tuple[Section, ...]:
    """Headings without anything below them are left out."""
    if isinstance(entry, Muscle):
        made = _of_muscle(entry, known, alike)
    elif isinstance(entry, Dermatome):
        made = _of_root(entry, known)
    else:
        made = _of_structure(entry, known)
    kept = [Section(each.title, tuple(fact for fact in each.facts if fact.lines)) for each in made]
    return tuple(section for section in kept if section.facts)


def risks(muscle: Muscle) -> tuple[Risk, ...]:
    """The structures at risk, then the cautions beyond them; "none" says why there is nothing."""
    told = [
        Risk("" if each.structure == "none" else sentence_case(each.structure), each.words, each.source)
        for each in muscle.at_risk
    ]
    return (*told, *(Risk("", words, "") for words in muscle.cautions))


def entry_url(kind: Kind, name: str) -> str:
    return reverse("atlas-entry", args=[kind.slug, name])


def muscle_lines(ids: Iterable[str], known: Atlas) -> tuple[Line, ...]:
    """Muscles as links; one that this atlas does not hold is only named."""
    kind = BY_SLUG["muscle"]
    return tuple(
        Line(name_of(known.muscles[name]), entry_url(kind, name))
        if name in known.muscles
        else Line(sentence_case(name.replace("_", " ")))
        for name in ids
    )


def _of_muscle(muscle: Muscle, known: Atlas, alike: Alike) -> tuple[Section, ...]:
    return (
        Section(
            "How it hurts",
            (
                _lines("Brings it on", muscle.brings_on),
                _lines("Eases it", muscle.eases),
                _lines("Often mistaken for", muscle.commonly_mistaken_for),
                Fact("Same area as", muscle_lines(alike.get(muscle.id, ()), known), is_row=True, note=ALIKE),
                Fact("Often involved with it", muscle_lines(muscle.often_with, known), is_row=True),
            ),
        ),
        Section(
            "To examine it",
            (
                _lines("Position", (muscle.position,)),
                _lines("Finding it", (muscle.find,)),
                _lines("Depth", (muscle.depth,)),
                _lines("Beside it", muscle.neighbours),
            ),
        ),
        Section(
            "The muscle",
            (
                _lines("Attachments", muscle.attachments),
                _lines("Action", (muscle.action,)),
                Fact("Works with", muscle_lines(muscle.synergists, known), is_row=True),
                Fact("Nerve", _nerves(muscle, known)),
                Fact("Roots", _roots(muscle.innervation.roots, known), is_row=True),
            ),
        ),
    )


def _of_root(root: Dermatome, known: Atlas) -> tuple[Section, ...]:
    muscles = [one.id for one in known.muscles.values() if root.id in one.innervation.roots]
    return (
        Section("The root", (_lines("Key sensory point", (root.described,)), _lines("Note", (root.note,)))),
        Section(
            "What else it reaches",
            (
                Fact("Muscles", muscle_lines(muscles, known), is_row=True),
                *(
                    Fact(BY_LAYER[layer].many, _with_root(root.id, layer, known), is_row=True)
                    for layer in known.structures
                ),
            ),
        ),
    )


def _of_structure(one: Structure, known: Atlas) -> tuple[Section, ...]:
    muscles = [each.id for each in known.muscles.values() if _supplies(one, each)]
    return (
        Section(
            "When to think of it",
            (
                _lines("Points to it", one.points_to),
                _lines("Examine", one.examine),
                _lines("Told from muscle pain by", one.told_apart),
                _lines("Sources differ", (one.note,)),
            ),
        ),
        Section(
            "Belongs to it",
            (
                Fact("Roots", _roots(one.roots, known), is_row=True),
                Fact("Muscles it supplies", muscle_lines(muscles, known), is_row=True),
            ),
        ),
    )


def _lines(title: str, said: Iterable[str]) -> Fact:
    return Fact(title, tuple(Line(sentence_case(words)) for words in said if words))


def _roots(roots: Iterable[str], known: Atlas) -> tuple[Line, ...]:
    kind = BY_SLUG["root"]
    return tuple(
        Line(root_name(root), entry_url(kind, root) if root in known.dermatomes else "") for root in roots
    )


def _nerves(muscle: Muscle, known: Atlas) -> tuple[Line, ...]:
    """The nerve as the muscle's entry names it, then the entries of the atlas that it names."""
    kind = BY_SLUG["nerve"]
    named = [one for one in entries(known, kind).values() if _names(one, muscle)]
    if [one.name for one in named if isinstance(one, Structure)] == [muscle.innervation.nerve]:
        return (Line(name_of(named[0]), entry_url(kind, named[0].id)),)
    own = (Line(sentence_case(muscle.innervation.nerve)),) if muscle.innervation.nerve else ()
    return (*own, *(Line(name_of(one), entry_url(kind, one.id)) for one in named))


def _names(one: Entry, muscle: Muscle) -> bool:
    return isinstance(one, Structure) and _supplies(one, muscle)


def _supplies(one: Structure, muscle: Muscle) -> bool:
    return one.layer == "peripheral_nerve" and one.name in muscle.innervation.nerve


def _with_root(root: str, layer: str, known: Atlas) -> tuple[Line, ...]:
    kind = BY_LAYER[layer]
    return tuple(
        Line(name_of(one), entry_url(kind, one.id))
        for one in known.structures[layer].values()
        if root in one.roots
    )
