"""The muscles as the hand found them: every row as it was recorded, and how it is printed. Plain data.

Numbers are those of the list on the screen, so that figure, table and screen name the same muscle alike.
"""

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import asdict
from typing import Any

from bodymaps import own
from bodymaps.atlas import Atlas
from bodymaps.reasoning import felt
from bodymaps.reasoning.felt import Felt, Verdict
from charting.examination import placed
from charting.examination.models import MuscleFinding
from charting.examination.queries import as_felt, muscles_of
from charting.report import findings_figure
from charting.report.papers import stopped
from charting.report.sources import Sources
from charting.visits.models import Visit

# How a result is counted: one, several.
COUNTED = {
    felt.ACTIVE: ("active trigger point", "active trigger points"),
    felt.LATENT: ("latent trigger point", "latent trigger points"),
    felt.TENDER_SPOT: ("tender spot only", "tender spots only"),
    felt.INCOMPLETE: ("incomplete", "incomplete"),
    felt.NOT_MET: ("without trigger point", "without trigger point"),
}
# What stands in a cell of the table: the words of each answer stand in the row.
NOT_RECORDED = "-"
FULL_STRENGTH = "5"


def muscles(visit: Visit, known: Atlas, sources: Sources) -> dict[str, Any]:
    """`rows`: every muscle of which anything is on record. `columns`: the signs that were asked of any that
    stands in the table; rows that are `plain` (nothing found) stand in a sentence under it.
    """
    listed = muscles_of(visit)
    each = [as_felt(row) for row in listed]
    numbered = [(number, row, one) for number, (row, one) in enumerate(zip(listed, each, strict=True), 1)]
    rows = [_row(number, row, one, known) for number, row, one in numbered if one.is_examined]
    asked = _asked(row for row in rows if not row["is_plain"])
    for row in rows:
        row["cells"] = [row["signs"].get(sign["id"], {}).get("answer", NOT_RECORDED) for sign in asked]
    return {
        "rows": rows,
        "columns": asked,
        "has_table": any(not row["is_plain"] for row in rows),
        "has_strength": any(row["strength"] for row in rows if not row["is_plain"]),
        "has_pain": any(row["pain"] is not None for row in rows if not row["is_plain"]),
        "pressures": [f"{row['number']}: {row['pressure']['words']}" for row in rows if row["pressure"]],
        "remarks": [f"{row['number']}: {stopped(row['remark'])}" for row in rows if row["remark"]],
        "counts": _counts(rows),
        "plain": [_called(row) for row in rows if row["is_plain"]],
        "not_examined": [
            _called(_named(number, one, known)) for number, _, one in numbered if not one.is_examined
        ],
        "incomplete": [_called(row) for row in rows if row["result"] == felt.INCOMPLETE],
        "figures": findings_figure.figures(placed.placed(each, known)),
        "key": [list(one) for one in placed.key_to(placed.placed(each, known)) if one[0]],
        **(_standards(asked, sources) if rows else {"criteria": None, "repeatable": []}),
    }


def _named(number: int, one: Felt, known: Atlas) -> dict[str, Any]:
    site = placed.site_of(one, known) if one.site else None
    return {
        "number": number,
        "muscle": one.muscle,
        "name": placed.name_of(one, known).split(" (")[0],
        "side": one.side,
        "site": one.site,
        "at": one.site.replace("_", " "),
        "where": site.where if site else "",
        "own": own.words_of(known, one.muscle) if one.muscle in known.muscles else "",
    }


def _row(number: int, row: MuscleFinding, one: Felt, known: Atlas) -> dict[str, Any]:
    said = felt.verdict(one)
    return {
        **_named(number, one, known),
        "signs": _signs(one),
        "strength": _strength(one),
        "pain": one.pain,
        "pressure": _pressure(one),
        "result": said.result,
        "verdict": said.words,
        "sure": said.sure,
        "unusual": stopped(said.remark),
        "remark": row.remark.strip(),
        "is_plain": _is_plain(one, row.remark, said),
    }


def _signs(one: Felt) -> dict[str, dict[str, str]]:
    """Every sign that was asked, with its answer in words."""
    return {
        sign.id: {
            "label": sign.label,
            "answer": one.signs[sign.id],
            "words": sign.words_for(one.signs[sign.id]),
        }
        for sign in felt.load().signs
        if sign.id in one.signs
    }


def _strength(one: Felt) -> dict[str, str] | None:
    grade = one.signs.get(felt.STRENGTH)
    return {"grade": grade, "words": felt.load().strength.words_for(grade)} if grade else None


def _pressure(one: Felt) -> dict[str, Any] | None:
    said = one.pressure
    if said is None:
        return None
    return {
        "unit": said.unit,
        "trials": [f"{trial:g}" for trial in said.trials],
        "tip_cm2": None if said.tip_cm2 is None else f"{said.tip_cm2:g}",
        "kpa": f"{said.kpa:.1f}",
        "kgf_cm2": f"{said.kgf_cm2:.2f}",
        "words": said.words,
    }


def _is_plain(one: Felt, remark: str, said: Verdict) -> bool:
    """Examined to the end and nothing found: no sign, no pain, no weakness, nothing to add."""
    return (
        said.result == felt.NOT_MET
        and all(answer == felt.NO for sign, answer in one.signs.items() if sign != felt.STRENGTH)
        and one.signs.get(felt.STRENGTH, FULL_STRENGTH) == FULL_STRENGTH
        and not one.pain
        and one.pressure is None
        and not remark.strip()
    )


def _called(row: dict[str, Any]) -> str:
    """ "4 Infraspinatus, right (upper belly)" """
    at = f" ({row['at']})" if row["at"] else ""
    return f"{row['number']} {row['name']}, {row['side']}{at}"


def _asked(rows: Iterable[dict[str, Any]]) -> list[dict[str, str]]:
    seen = {sign for row in rows for sign in row["signs"]}
    return [{"id": sign.id, "label": sign.label} for sign in felt.load().signs if sign.id in seen]


def _counts(rows: Sequence[dict[str, Any]]) -> str:
    """ "7 muscles examined: 2 active trigger points, 1 incomplete, 4 without trigger point" """
    found = Counter(row["result"] for row in rows)
    said = [
        f"{found[result]} {words[found[result] > 1]}" for result, words in COUNTED.items() if found[result]
    ]
    return f"{len(rows)} place{'s' if len(rows) > 1 else ''} examined: {', '.join(said)}" if rows else ""


def _standards(asked: Iterable[dict[str, str]], sources: Sources) -> dict[str, Any]:
    """The criteria in words with their source, and where each sign's repeatability is published."""
    known = felt.load()
    three = [known.sign(sign).label.lower() for sign in felt.CRITERIA]
    return {
        "criteria": {
            "words": f"At least {felt.ENOUGH} of {len(three)} ({', '.join(three)}) make a trigger point; it "
            "is active when the patient knows the pain it brings on. Not tested is never taken for no.",
            "source": sources.number(known.criteria.source, known.criteria.status),
        },
        "repeatable": [
            {
                "label": sign["label"],
                "said": [
                    {**asdict(one), "number": sources.number(one.source, one.status)}
                    for one in known.sign(sign["id"]).reliability
                ],
            }
            for sign in asked
        ],
    }
