"""A letter as plain data: what its page shows, what its paper prints and what a signature freezes."""

import json
from typing import Any

from charting.letters import tables
from charting.letters.editing import Edits, shown
from charting.letters.gathered import Gathered
from charting.letters.kinds import MEASURES, SECTIONS, TITLES, TREATMENTS, Section, assembled
from charting.letters.models import Letter
from charting.report.content import CAUTION, canonical, fingerprint
from charting.report.papers import day
from charting.report.sentences import Shown
from charting.report.sources import Sources

# The shape of this data: raised when a key changes its meaning, so that old letters still print.
FORMAT = "letter-1"

__all__ = ["FORMAT", "assemble", "fingerprint"]


def assemble(found: Gathered, letter: Letter) -> dict[str, Any]:
    """The letter with the words that are kept of it. Equal for the same record; says not when it was read."""
    return assemble_with(found, letter, Edits.of(letter.edits), letter.to_name, letter.to_address)


def assemble_with(
    found: Gathered, letter: Letter, edits: Edits, to_name: str, to_address: str
) -> dict[str, Any]:
    said, cited = shown(assembled(letter.kind, found), edits), Sources()
    is_report = letter.kind == Letter.Kind.PROGRESS
    whole = {
        "format": FORMAT,
        "kind": letter.kind,
        "title": TITLES[Letter.Kind(letter.kind)],
        "practice": _practice(found),
        "patient": _patient(found),
        "to": {"name": to_name.strip(), "address": to_address.strip()},
        "about": found.episode.title.strip(),
        "span": _span(found),
        "as_of": found.visits[-1].started_at.isoformat()
        if found.visits
        else found.episode.opened_at.isoformat(),
        "insurer": tables.insurer(found) if is_report else [],
        "codes": [] if letter.kind == Letter.Kind.SUMMARY else tables.codes(found),
        "sections": [_section(one, said, edits) for one in SECTIONS[letter.kind]],
        MEASURES: tables.measures(found, edits.rows, cited) if is_report else [],
        TREATMENTS: tables.treatments(found) if is_report else [],
        "left_out": [{"key": one.key, "stood": one.stood} for one in said if one.taken_out],
        "sources": cited.listed(),
        "caution": CAUTION,
    }
    # Through JSON and back: what is shown now is what a stored letter will show.
    return dict(json.loads(canonical(whole)))


def _section(section: Section, said: tuple[Shown, ...], edits: Edits) -> dict[str, Any]:
    return {
        "id": section.id,
        "title": section.title,
        "sentences": [
            {"key": one.key, "words": one.words, "stood": one.stood if one.is_edited else ""}
            for one in said
            if one.section == section.id and not one.taken_out
        ],
        "own": edits.own.get(section.id, ""),
        "table": section.table,
        "is_list": section.is_list,
    }


def _practice(found: Gathered) -> dict[str, str]:
    names = ("name", "street", "town", "phone", "email", "registration", "time_zone")
    return {name: getattr(found.practice, name) for name in names}


def _patient(found: Gathered) -> dict[str, Any]:
    return {
        "name": found.patient.name,
        "given_names": found.patient.given_names,
        "born": day(found.patient.birth_date),
        "record_number": found.patient.record_number,
    }


def _span(found: Gathered) -> list[str]:
    """Days of the first and of the last visit; [] without any."""
    if not found.visits:
        return []
    return [found.day(found.visits[0].started_at), found.day(found.visits[-1].started_at)]
