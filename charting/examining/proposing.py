"""What to examine next, as the page shows it: each proposal with where one tap leads."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import ClassVar

from django.urls import reverse
from django.utils.http import urlencode

from bodymaps.reasoning import examine_next, items, ranges
from bodymaps.reasoning.examine_next import MUSCLE, PUBLISHED, TEST, Proposal
from charting.candidates import wholes
from charting.candidates.queries import Ranked
from charting.examination.joints import joint_with
from charting.examination.models import MuscleFinding
from charting.screening import sections
from charting.visits.models import Visit

# Where ranges of joints stand in the catalogue of findings.
RANGE = "range"
PAGES = {
    sections.NEURO: ("neuro-screen", "To the neuro screen"),
    sections.VITAL: ("vitals", "To the vitals"),
    sections.JOINT: ("joints", "To the joints"),
    RANGE: ("joints", "To the joints"),
}
HOW_MEASURED = (ranges.ACTIVE, ranges.PASSIVE, ranges.PAIN_ON)
SCREEN_OF = "neuro"


@dataclass(frozen=True)
class Proposed:
    """One proposal. `line`: the muscle on the list, 0 when it is not on it, `pick` to put it there; for all
    else `url` leads to where it is recorded, `leads` says so.
    """

    proposal: Proposal
    line: int = 0
    pick: str = ""
    url: str = ""
    leads: str = ""

    @property
    def basis(self) -> str:
        """ "published ratio: Wainner 2003, checked" """
        one = self.proposal
        status = f", {one.status}" if one.status not in one.source else ""
        return f"{one.basis}: {one.source}{status}" if one.source != one.basis else one.basis

    @property
    def is_published(self) -> bool:
        return self.proposal.basis == PUBLISHED


@dataclass(frozen=True)
class Next:
    """The proposals, best first; `none` says why there are none, "" where there are."""

    lines: tuple[Proposed, ...]
    none: str

    # So many stand unfolded.
    FIRST: ClassVar[int] = 3

    @property
    def first(self) -> tuple[Proposed, ...]:
        return self.lines[: self.FIRST]

    @property
    def more(self) -> tuple[Proposed, ...]:
        return self.lines[self.FIRST :]


def next_of(visit: Visit, found: Ranked, rows: Sequence[MuscleFinding]) -> Next | None:
    """None as long as nothing is ranked, or a sign of danger holds muscles back. Some tenths of a second."""
    if found.ranking is None or found.evidence is None or found.flags.holds_back:
        return None
    listed = wholes.as_listed(found.ranking, found.explanation)
    told = (found.evidence, found.facts, found.atlas, listed)
    proposals = examine_next.proposals(*told)
    return Next(
        tuple(_proposed(each, visit, rows) for each in proposals),
        "" if proposals else examine_next.why_none(*told),
    )


def _proposed(one: Proposal, visit: Visit, rows: Sequence[MuscleFinding]) -> Proposed:
    if one.kind == MUSCLE:
        line = next((row.pk for row in rows if (row.muscle, row.side) == (one.id, one.side)), 0)
        pick = ".".join(part for part in (one.id, one.side, one.site) if part)
        return Proposed(one, line=line, pick=pick)
    name, words, query = _where(one)
    return Proposed(one, url=reverse(name, args=[visit.pk]) + query, leads=words)


def _query(key: str) -> str:
    """Opens the part of a page on which a test stands, at the test."""
    joint, item = joint_with(key), items.findings().items[key]
    part = next((each.id for each in sections.load().parts if each.holds(item)), "")
    shown = {"joint": joint} if joint else {"show": part} if part else {}
    about, _, name = key.partition(":")
    place = f"movement-{name}" if about in HOW_MEASURED else f"test-{key}"
    return f"?{urlencode(shown)}#{place}" if shown else f"#{place}"


def _where(one: Proposal) -> tuple[str, str, str]:
    """Name and words of the page where a test or a screen is recorded, and its query."""
    about, _, part = one.id.partition(":")
    if one.kind == TEST:
        return (*PAGES[sections.page_of(one.id)], _query(one.id))
    if about == SCREEN_OF:
        return (*PAGES[sections.NEURO], "?" + urlencode({"show": part}))
    return ("candidates", "To what is to be excluded", "")
