"""Sentences put together from what was recorded, and nothing else: plain data in, plain data out."""

from collections.abc import Iterable
from dataclasses import dataclass

from bodymaps import words
from bodymaps.atlas import Atlas
from bodymaps.reasoning.case import Case
from bodymaps.reasoning.felt import Felt
from charting.assessment.written import By

MUSCLE, ROOT, PLEXUS, NERVE = "muscle", "root", "plexus", "peripheral_nerve"
NERVES = (ROOT, PLEXUS, NERVE)
LAYERS = (MUSCLE, ROOT, PLEXUS, NERVE, "joint_referral", "visceral")


@dataclass(frozen=True)
class Made:
    """One sentence. `key` and `about` as in written.Sentence; `by`: the source it is about, where it is about
    one; `near`: ids of parts of the body (bodymaps.parts) that it belongs to, () for the person as a whole.
    """

    key: str
    about: str
    text: str
    by: By | None = None
    near: frozenset[str] = frozenset()


@dataclass(frozen=True)
class Danger:
    """One sign of danger, and what was decided about it: `outcome`, `why`, `decided` ("Nora Berg on 4 May
    2026") and `follow_up` are "" where nothing was. `cleared`: it was held to be no danger.
    """

    id: str
    title: str
    because: str
    waits: bool
    outcome: str = ""
    why: str = ""
    decided: str = ""
    follow_up: str = ""
    cleared: bool = False


@dataclass(frozen=True)
class Record:
    """What sentences are made from. `unexamined`: muscles on the list of which nothing is recorded.
    `unanswered`: (which questions, sentence) about danger; `screens`: ids of the parts of the neuro screen
    that the drawing calls for.
    """

    case: Case
    atlas: Atlas
    unexamined: tuple[Felt, ...] = ()
    dangers: tuple[Danger, ...] = ()
    unanswered: tuple[tuple[str, str], ...] = ()
    screens: tuple[str, ...] = ()


def name_of(by: By, known: Atlas) -> str:
    """ "Infraspinatus", "Nerve root C6", "Median nerve": without its side. An id that the atlas does not know
    (any more) is read as words.
    """
    layer, name, _ = by
    if layer == ROOT:
        return f"Nerve root {words.root(name)}"
    held = known.muscles if layer == MUSCLE else known.structures.get(layer, {})
    return words.sentence_case(held[name].name if name in held else name.replace("_", " "))


def with_side(by: By, known: Atlas) -> str:
    """ "Infraspinatus, left"."""
    return sided(name_of(by, known), by[2])


def sided(name: str, side: str) -> str:
    return f"{name}, {side}" if side and side != "midline" else name


def small(text: str) -> str:
    """For the middle of a sentence; names of two capitals ("ULNT", "C6") keep theirs."""
    return text[:1].lower() + text[1:] if text[1:2].islower() or text[1:2] in (" ", ",") else text


def joined(parts: Iterable[str], between: str = "; ") -> str:
    return between.join(part for part in parts if part)
