"""The note by problem: subjective, objective, assessment, plan, in sentences made from what was recorded.

A sentence is made of what is on record and of nothing else: what was not recorded has none. Signs of danger,
stops that were gone past, needles in and out, consents taken back and reactions are no sentences: nobody
edits them, and the paper prints them as they were recorded, beside these.
"""

from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import asdict, dataclass, field, replace
from typing import Any

from charting.report.sentences import Assembled, Edit, Shown, laid
from charting.report.soap_done import concluded, done
from charting.report.soap_found import found
from charting.report.soap_told import told

SECTIONS = {
    "subjective": "Subjective",
    "objective": "Objective",
    "assessment": "Assessment",
    "plan": "Plan",
}
# Of a key, as it is stored (notes.models.NoteSentence), with room for a number after it.
LONGEST_KEY = 190
# A part of the record by the first word of its keys, and what stands before its sentences.
PARTS = {
    "story": "",
    "drawing": "Drawn",
    "scores": "Scores",
    "vitals": "",
    "neuro": "Neuro screen",
    "muscles": "Muscles",
    "ranges": "Range of joints",
    "joints": "Joint tests",
    "conclusions": "",
    "treatment": "Done in this visit",
    "treatment_minutes": "",
    "home": "",
}


@dataclass(frozen=True)
class Written:
    """What the clinician made of the note: own words by section, edits by key, the section of each edit."""

    own: Mapping[str, str] = field(default_factory=dict)
    edits: Mapping[str, Edit] = field(default_factory=dict)
    sections: Mapping[str, str] = field(default_factory=dict)


def assembled(content: Mapping[str, Any]) -> tuple[Assembled, ...]:
    """Every sentence of a visit, from the plain data of report.content (visit-note-6), in order of reading.
    No two have the same key.
    """
    seen: Counter[str] = Counter()
    every = []
    for one in (*told(content), *found(content), *concluded(content), *done(content)):
        seen[one.key] += 1
        again = f".{seen[one.key]}" if seen[one.key] > 1 else ""
        every.append(replace(one, key=f"{one.key[:LONGEST_KEY]}{again}"))
    return tuple(every)


def by_problem(content: Mapping[str, Any], written: Written) -> dict[str, Any]:
    """Plain data: `sections` ({id, title, parts ({id, title, sentences}), own}), and which parts `stand` in
    them as they were recorded, every sentence, so that a paper need not print them again.
    """
    shown = laid(assembled(content), written.edits, written.sections)
    return {
        "sections": [
            {
                "id": id_,
                "title": title,
                "parts": _parts(one for one in shown if one.section == id_),
                "own": written.own.get(id_, "").strip(),
            }
            for id_, title in SECTIONS.items()
        ],
        "stand": _standing(shown),
        "changed": sum(one.is_edited for one in shown),
        "taken_out": sum(one.taken_out for one in shown),
    }


def part_of(key: str) -> str:
    return key.partition(".")[0]


def _parts(shown: Iterable[Shown]) -> list[dict[str, Any]]:
    parts: dict[str, list[dict[str, Any]]] = {}
    for one in shown:
        parts.setdefault(part_of(one.key), []).append(asdict(one))
    return [
        {
            "id": id_,
            "title": PARTS.get(id_, ""),
            "sentences": sentences,
            "is_printed": any(not one["taken_out"] for one in sentences),
        }
        for id_, sentences in parts.items()
    ]


def _standing(shown: Iterable[Shown]) -> list[str]:
    every = tuple(shown)
    touched = {part_of(one.key) for one in every if one.is_edited or one.taken_out}
    return [part for part in dict.fromkeys(part_of(one.key) for one in every) if part not in touched]
