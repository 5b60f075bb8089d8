"""Objective: what was measured, tested and felt, in sentences. Pure: plain data of report.content in."""

from collections.abc import Iterator, Mapping
from typing import Any

from bodymaps.words import sentence_case
from charting.report.papers import stopped
from charting.report.sentences import Assembled

SECTION = "objective"
NOT_RECORDED = "not recorded"
# What is said in place of a scale of what is a plain number.
MEASURED = "Measured"
Content = Mapping[str, Any]


def found(content: Content) -> Iterator[Assembled]:
    """In the order of reading; what was not recorded has no sentence, and is never said to be normal."""
    screen = content["screening"]
    each = (
        *_vitals(screen),
        *_neuro(screen),
        *_muscles(content["muscles"]),
        *_ranges(content["ranges"]),
        *_joints(content["joint_tests"]),
    )
    for key, words in each:
        yield Assembled(SECTION, key, words)


def _vitals(screen: Content) -> Iterator[tuple[str, str]]:
    ids = {table["title"]: table["id"] for table in screen["tables"]}
    for group in screen["vitals"]:
        yield f"vitals.{ids[group['title']]}", stopped(f"{group['title']}: {group['words']}")


def _neuro(screen: Content) -> Iterator[tuple[str, str]]:
    """Each group of tests: what differs first, then what is alike."""
    ids = {table["title"]: table["id"] for table in screen["tables"]}
    for table in screen["neuro"]:
        scale = f" ({table['scale']})" if _has_ranks(table) else ""
        rows = [f"{_test(row)} {_sides(row)}" for row in table["rows"]]
        said = "; ".join(one for one in (*rows, _lowered(table["plain"])) if one)
        legend = f" {sentence_case(stopped(table['legend']))}" if table["legend"] else ""
        yield f"neuro.{ids[table['title']]}", f"{table['title']}{scale}: {stopped(said)}{legend}"


def _has_ranks(table: Content) -> bool:
    """Grades that are ranks need the name of their scale; words and measured numbers do not."""
    grades = [row[side]["grade"] for row in table["rows"] for side in ("right", "left", "middle")]
    said = table["plain"].removeprefix("Both sides ")
    return table["scale"] != MEASURED and any(one[:1].isdigit() for one in (*grades, said))


def _test(row: Content) -> str:
    roots = f" ({row['roots']})" if row["roots"] and row["roots"] != row["label"] else ""
    return f"{row['label']}{roots}"


def _sides(row: Content) -> str:
    if row["middle"]["grade"]:
        return _grade(row, row["middle"])
    return f"right {_grade(row, row['right'])}, left {_grade(row, row['left'])}"


def _grade(row: Content, side: Content) -> str:
    """ "4", "right 20°", "not recorded": with its unit and what was noted beside it."""
    if not side["grade"]:
        return NOT_RECORDED
    unit = row["unit"] if side["grade"] != "NT" else ""
    grade = "not tested" if side["grade"] == "NT" else side["grade"]
    remark = f" ({side['remark']})" if side["remark"] else ""
    return f"{grade}{'' if unit in ('', '°') else ' '}{unit}{remark}"


def _muscles(muscles: Content) -> Iterator[tuple[str, str]]:
    if muscles["counts"]:
        yield "muscles.counts", f"Muscles by hand, {stopped(_lowered(muscles['counts']))}"
    for row in muscles["rows"]:
        if not row["is_plain"]:
            yield f"muscles.{row['muscle']}.{row['side']}.{row['site']}", _felt(row)
    if muscles["plain"]:
        named = (name.partition(" ")[2] for name in muscles["plain"])
        yield "muscles.plain", f"Nothing found in {'; '.join(named)}."


def _felt(row: Content) -> str:
    """ "Infraspinatus, right (upper belly): active trigger point, 3 of 3; pain 7 of 10 on pressing." """
    at = f" ({row['at']})" if row["at"] else ""
    strength = row["strength"]
    said = [
        row["verdict"],
        *([f"pain {row['pain']} of 10 on pressing"] if row["pain"] is not None else []),
        *([f"strength {strength['grade']}, {strength['words']}"] if strength and _is_weak(strength) else []),
        *([f"pressure pain threshold {row['pressure']['words']}"] if row["pressure"] else []),
    ]
    remark = f" {stopped(row['remark'])}" if row["remark"] else ""
    return f"{row['name']}, {row['side']}{at}: {stopped('; '.join(said))}{remark}"


def _is_weak(strength: Content) -> bool:
    return strength["grade"] not in ("5", "NT")


def _ranges(ranges: list[Content]) -> Iterator[tuple[str, str]]:
    for row in ranges:
        sides = ((side, row[side]) for side in ("right", "left"))
        said = row["middle"] or "; ".join(f"{side} {words}" for side, words in sides if words)
        beside = " ".join(stopped(sentence_case(each)) for each in (*row["sides"], *row["since"]))
        title = f"{row['joint']}, {_lowered(row['movement'])}"
        key = f"ranges.{row['joint']}.{row['movement']}".lower().replace(" ", "_")
        yield key, f"{title}: {stopped(said)} {beside}".strip()


def _joints(tests: Content) -> Iterator[tuple[str, str]]:
    ids = {table["title"]: table["id"] for table in tests["tables"]}
    for joint in tests["joints"]:
        rows = [f"{row['label']} {_sides(row)}" for row in joint["rows"]]
        legend = f" {sentence_case(stopped(joint['legend']))}" if joint["legend"] else ""
        said = stopped("; ".join(one for one in (*rows, joint["plain"]) if one))
        yield f"joints.{ids[joint['title']]}", f"{joint['title']}, joint tests: {said}{legend}"


def _lowered(words: str) -> str:
    """Within a sentence: "Blood pressure" is "blood pressure", "ISNCSCI" and "C6" stay."""
    return words if words[1:2].isupper() or words[1:2].isdigit() else words[:1].lower() + words[1:]
