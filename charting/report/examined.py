"""What was found on examination, what fits it, and what tests with published ratios say. Plain data."""

from collections.abc import Iterable, Sequence
from dataclasses import asdict
from typing import Any

from bodymaps.reasoning import clusters, items, neuro, ratios_file
from bodymaps.reasoning.case import Case
from bodymaps.reasoning.clusters import Cluster, Single
from bodymaps.reasoning.items import NOT_TESTED
from bodymaps.words import percent
from charting.report.sources import Sources
from charting.screening import queries as screening
from charting.screening.queries import Finding, Found, Row, Table
from charting.screening.sections import JOINT, NEURO, REFLEX_SCALES, VITAL, page_of

# How many roots, plexuses or nerves are named; the others fit less.
MOST_FITS = 2


def screened(recorded: Found, case: Case, sources: Sources) -> dict[str, Any]:
    """Vitals and neuro screen as they were recorded (`tables`), and how they are printed: `vitals` in
    sentences, then `neuro`, in which what is alike and normal on both sides stands in a line under its table.
    Tests of joints have a place of their own (report.joints).
    """
    found = screening.table_in(recorded, (VITAL, NEURO))
    vital = {group.id for group in items.findings().on_page(VITAL)}
    graded = [table for table in found.tables if table.id not in vital]
    fits = neuro.fits(case)
    return {
        "version": found.version,
        "is_empty": found.is_empty,
        "differences": list(found.differences),
        "alike": list(found.alike),
        "tables": [asdict(table) for table in found.tables],
        "vitals": [_sentence(table) for table in found.tables if table.id in vital],
        "neuro": [_printed(table) for table in graded],
        "has_rows": any(not _is_plain(row) for table in graded for row in table.rows),
        "nothing_of": _nothing_of(found.tables),
        "fits": [fit.words for fit in fits[:MOST_FITS]],
        "fits_not_shown": max(0, len(fits) - MOST_FITS),
        "cord": list(neuro.upper_motor(case)),
        **published(case, sources, of_joints=False),
    }


def published(case: Case, sources: Sources, *, of_joints: bool) -> dict[str, Any]:
    """What tests with published ratios say, in clusters and alone: the tests of joints, or all others. Alone,
    those of joints stand with their ratio in the table; here only with an estimate before them.
    """
    found = [one for one in clusters.of(case) if _is_of_joints(one) == of_joints]
    singles = [
        one
        for one in clusters.singles(case)
        if not one.counted and _is_of_joints(one) == of_joints and (one.after is not None or not of_joints)
    ]
    return {
        "clusters": [_cluster(one, sources) for one in found],
        "without_ratio": sum(one.lr is None for one in found),
        "singles": [_single(one, sources) for one in singles],
        "whose": list(dict.fromkeys(one.whose for one in singles if one.after is not None)),
    }


def _is_of_joints(one: Cluster | Single) -> bool:
    known = ratios_file.load()
    if isinstance(one, Single):
        keys = [rule.test.key for rule in known.singles if rule.id == one.id]
    else:
        keys = [test.key for rule in known.clusters if rule.id == one.id for test in rule.tests if test.key]
    return all(page_of(key) == JOINT for key in keys)


def _sentence(table: Table) -> dict[str, str]:
    """ "Vitals": "Pulse 72 /min; Temperature 36.8 °C" """
    return {"title": table.title, "words": "; ".join(_in_words(row) for row in table.rows)}


def _in_words(row: Row) -> str:
    sides = [(side, one) for side, one in (("right", row.right), ("left", row.left)) if one.grade]
    if row.middle.grade:
        return f"{row.label}: {_found(row.middle)}"
    return f"{row.label}: {', '.join(f'{side} {_found(one)}' for side, one in sides)}"


def _found(one: Finding) -> str:
    return f"{one.words}{f' ({one.remark})' if one.remark else ''}"


def _printed(table: Table) -> dict[str, Any]:
    aside = [row for row in table.rows if not _is_plain(row)]
    plain = [row for row in table.rows if _is_plain(row)]
    return {
        "title": table.title,
        "scale": table.scale,
        "rows": [asdict(row) for row in aside],
        "legend": legend(table, aside),
        "plain": _plain_words(table, plain),
    }


def _is_plain(row: Row) -> bool:
    """The same on both sides, within the normal grades, and nothing to add."""
    right, left = row.right, row.left
    item = items.findings().items[row.key]
    return (
        item.type == "grade"
        and right.grade == left.grade
        and right.grade not in ("", NOT_TESTED)
        and not (right.remark or left.remark)
        and not screening.is_abnormal(item, right.grade)
    )


def _plain_words(table: Table, rows: Sequence[Row]) -> str:
    """ "Both sides 2 (normal): C5, C6, C7" """
    by_grade: dict[str, list[str]] = {}
    for row in rows:
        means = row.right.words.partition(":")[0]
        said = row.right.grade if means == row.right.grade else f"{row.right.grade} ({means})"
        by_grade.setdefault(said, []).append(_test(table, row))
    return "; ".join(f"Both sides {said}: {', '.join(tests)}" for said, tests in by_grade.items())


def _test(table: Table, row: Row) -> str:
    if not row.roots or row.roots == row.label:
        return row.label
    label = row.label[:1].lower() + row.label[1:] if table.id in (*REFLEX_SCALES, "strength") else row.label
    return f"{label} ({row.roots})"


def legend(table: Table, rows: Iterable[Row]) -> str:
    """What the grades in the table mean: "4 full range against gravity and some resistance"."""
    used = {finding.grade for row in rows for finding in (row.right, row.left, row.middle)} - {NOT_TESTED}
    said = [(value, words) for value, words in table.grades if value in used and value != words]
    return "; ".join(f"{value} {words}" for value, words in said)


def _nothing_of(tables: Iterable[Table]) -> list[str]:
    """The groups of the neuro page of which nothing is on record; of the two scales of reflexes one is
    enough.
    """
    seen = {table.id for table in tables}
    if seen.intersection(REFLEX_SCALES):
        seen.update(REFLEX_SCALES)
    groups = items.findings().on_page(NEURO)
    missing = (group for group in groups if group.id not in seen and group.id != REFLEX_SCALES[1])
    return [group.title for group in missing if group.id != "pretest"]


def _cluster(one: Cluster, sources: Sources) -> dict[str, Any]:
    return {
        "title": one.title,
        "side": one.side,
        "positive": list(one.positive),
        "negative": list(one.negative),
        "not_tested": list(one.not_tested),
        "population": one.population,
        # Without a ratio it is on the page alone, and cites nothing.
        **_ratio(one, sources if one.lr is not None else None),
    }


def _single(one: Single, sources: Sources) -> dict[str, Any]:
    return {"title": one.title, "side": one.side, "result": one.result, **_ratio(one, sources)}


def _ratio(one: Cluster | Single, sources: Sources | None) -> dict[str, Any]:
    return {
        "reading": one.reading,
        "ratio": "" if one.lr is None else f"{one.lr:.3g}",
        "before": "" if one.before is None else percent(one.before),
        "after": "" if one.after is None else percent(one.after),
        "arithmetic": one.arithmetic,
        "whose": one.whose,
        "limits": list(one.limits),
        "source": sources.number(one.source, one.status) if sources else None,
        "source_words": f"{one.source} ({one.status})",
    }
