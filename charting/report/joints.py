"""What provocation tests of joints showed: as recorded, and how it is printed. Plain data."""

from collections.abc import Iterable
from dataclasses import asdict
from typing import Any

from bodymaps.reasoning import accuracy, items
from bodymaps.reasoning.case import Case
from bodymaps.reasoning.items import NOT_TESTED
from charting.report.examined import legend, published
from charting.report.sources import Sources
from charting.screening import queries as screening
from charting.screening.queries import Found, Row, Table
from charting.screening.sections import JOINT


def tested(recorded: Found, case: Case, sources: Sources) -> dict[str, Any]:
    """`tables`: every provocation test as it was recorded. `joints`: how it is printed: what is outside
    normal, not tested or has a remark in rows with what is published about it, the rest in a line.
    """
    found = screening.table_in(recorded, (JOINT,))
    joints = [_joint(table, sources) for table in found.tables]
    return {
        "is_empty": found.is_empty,
        "tables": [asdict(table) for table in found.tables],
        "joints": joints,
        "has_rows": any(joint["rows"] for joint in joints),
        **published(case, sources, of_joints=True),
    }


def _joint(table: Table, sources: Sources) -> dict[str, Any]:
    rows = [row for row in table.rows if not _is_plain(row)]
    return {
        "title": table.title,
        "rows": [{**asdict(row), **_ratio(row, sources)} for row in rows],
        "legend": legend(table, rows),
        "plain": _in_a_line(row for row in table.rows if _is_plain(row)),
    }


def _is_plain(row: Row) -> bool:
    """Tested, within the normal grades wherever it was tested, and nothing to add."""
    item = items.findings().items[row.key]
    said = [one for one in (row.right, row.left, row.middle) if one.grade]
    return item.type == "grade" and not any(
        one.remark or one.grade == NOT_TESTED or screening.is_abnormal(item, one.grade) for one in said
    )


def _in_a_line(rows: Iterable[Row]) -> str:
    """ "negative: Neer, both sides, Painful arc, right" by what was found."""
    by_words: dict[str, list[str]] = {}
    for row in rows:
        for words, sides in _sides(row).items():
            by_words.setdefault(words, []).append(f"{row.label}{f' ({sides})' if sides else ''}")
    return "; ".join(f"{words}: {', '.join(tests)}" for words, tests in by_words.items())


def _sides(row: Row) -> dict[str, str]:
    """On which sides each thing was found, in words: {"negative": "both sides"}."""
    if row.middle.grade:
        return {row.middle.words: ""}
    if row.right.grade and row.right.words == row.left.words:
        return {row.right.words: "both sides"}
    return {one.words: side for side, one in (("right", row.right), ("left", row.left)) if one.grade}


def _ratio(row: Row, sources: Sources) -> dict[str, Any]:
    """The published ratio of the test alone: "positive 1.9, negative 0.36", or that there is none."""
    found = accuracy.of(row.key)
    alone = next((one for one in found if not one.cluster), None)
    if alone is None:
        return {"ratio": "only together with others" if found else accuracy.NO_FIGURE, "source": None}
    ratios = (("positive", alone.lr_positive), ("negative", alone.lr_negative))
    said = ", ".join(f"{when} {lr:.2g}" for when, lr in ratios if lr is not None)
    if not said:
        return {"ratio": accuracy.NO_FIGURE, "source": None}
    return {"ratio": said, "source": sources.number(alone.source, alone.status)}
