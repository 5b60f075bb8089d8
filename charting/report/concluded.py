"""What the clinician concluded about each symptom area. Plain data."""

from collections.abc import Sequence
from dataclasses import asdict
from typing import Any

from charting.assessment import queries
from charting.assessment.models import Conclusion
from charting.assessment.queries import AreaConclusion, written_in
from charting.assessment.written import By
from charting.drawing.areas import ToldArea


def concluded(rows: Sequence[Conclusion], areas: Sequence[ToldArea]) -> list[dict[str, Any]]:
    """In the order of the areas; `groups` as they are printed, `sentences` with what each was made from."""
    return [_area(one) for one in queries.concluded(rows, areas)]


def named_in(rows: Sequence[Conclusion]) -> set[By]:
    """Every candidate that a conclusion of the note names: (layer, id, side)."""
    return {source.by for row in rows if not row.left_out for source in written_in(row).sources}


def _area(one: AreaConclusion) -> dict[str, Any]:
    return {
        "number": one.number,
        "where": one.where,
        "is_gone": one.is_gone,
        "sources": [{**asdict(source), "words": source.words} for source in one.sources],
        "groups": [{"heading": heading, "sentences": list(said)} for heading, said in one.groups],
        "sentences": [asdict(sentence) for sentence in one.sentences],
    }
