"""What story and findings add to the order by place: the second order, what counts for and against, and what
tells candidates of the same area apart. Plain data.
"""

from collections.abc import Collection, Iterable
from typing import Any

from bodymaps.reasoning.evidence import Evidence, Judged, Line
from bodymaps.reasoning.same_area import SameArea
from bodymaps.words import sentence_case
from charting.candidates import weighing
from charting.candidates.queries import Ranked
from charting.candidates.weighing import EvidenceLine
from charting.report.sources import Sources

# Lines of the order with evidence; candidates with what counts for and against them, where the clinician
# concluded nothing, and at most.
MOST_LINES = 8
FIRST_TOLD = 2
MOST_TOLD = 6

CONCLUDED, FIRST = "those named in the conclusions", "the first"

By = tuple[str, str, str]


def weighed(found: Ranked, sources: Sources, concluded: Collection[By] = ()) -> dict[str, Any] | None:
    """What counts for and against is printed of the candidates that the clinician `concluded` on (layer, id,
    side), else of the first ones; `whole` keeps all of it. None where nothing is ranked, or a sign of danger
    waits for a decision.
    """
    evidence = found.evidence
    if evidence is None:
        return None
    lines = weighing.lines_of(found, {}, "")
    return {
        "lines": [_line(line) for line in lines[:MOST_LINES]],
        "not_shown": max(0, len(lines) - MOST_LINES),
        "told": _told(evidence, lines, concluded, sources),
        "told_of": CONCLUDED if any(_by(one) in concluded for one in evidence.order) else FIRST,
        "same_areas": [_same_area(group) for group in found.same_areas],
        "whole": evidence.as_json(),
    }


def _line(line: EvidenceLine) -> dict[str, Any]:
    return {
        "place": line.place,
        "name": _name(line),
        "side": line.side,
        "layer": line.layer,
        "agreement": line.sum.agreement,
        "sign": line.sum.sign,
        "evidence": line.sum.evidence,
        "total": line.sum.total,
        "moved": line.moved,
        "counts": line.counts,
        "is_urgent": line.is_urgent,
    }


def _name(line: EvidenceLine) -> str:
    return without_brackets(line.name, line.layer)


def without_brackets(name: str, layer: str) -> str:
    """A muscle without what its name holds in brackets: its parts, or another name."""
    return name.split(" (")[0] if layer == "muscle" else name


def _told(
    evidence: Evidence, lines: Iterable[EvidenceLine], concluded: Collection[By], sources: Sources
) -> list[dict[str, Any]]:
    each = list(zip(evidence.order, lines, strict=False))
    named = [(judged, line) for judged, line in each if _by(judged) in concluded]
    return [
        {
            "place": judged.place,
            "name": _name(line),
            "side": line.side,
            "layer": line.layer,
            "for": _said(judged.speaks_for, sources),
            "against": _said(judged.speaks_against, sources),
        }
        for judged, line in (named[:MOST_TOLD] or each[:FIRST_TOLD])
    ]


def _by(judged: Judged) -> By:
    return judged.layer, judged.id, judged.side


def _said(lines: Iterable[Line], sources: Sources) -> list[dict[str, Any]]:
    """The lines that count: what makes them hold, in short. Their sentences stand in `whole`."""
    return [
        {
            "words": _short(line),
            "weight": _signed(line.weight),
            "source": sources.number(line.source, line.status),
        }
        for line in lines
        if line.counted
    ]


def _signed(weight: float) -> str:
    return f"{'+' if weight >= 0 else weighing.MINUS}{abs(weight):.2f}"


def _short(line: Line) -> str:
    """ "Eases it: heat"; of what was drawn the kind only, for the drawing stands in the note."""
    told = [why for why in line.because if not why.startswith("drawn")]
    drawn = [why.partition(":")[0] for why in line.because if why.startswith("drawn (")]
    return sentence_case("; ".join(dict.fromkeys((*told, *(() if told else drawn))))) or line.words


def _same_area(group: SameArea) -> dict[str, Any]:
    return {
        "title": group.title,
        "side": group.side,
        "members": [without_brackets(one.name, one.layer) for one in group.members],
        "examine": list(group.examine),
        "source": group.source,
        "status": group.status,
    }
