"""Write data/reasoning/keys.md: every key of a case with its type, unit and choices, for who writes a file.

python -m bodymaps.making.keys
"""

from __future__ import annotations

from bodymaps.reasoning import felt, felt_read, items
from bodymaps.reasoning.items import Catalogue, Item

FILE = items.FOLDER / "keys.md"
HEAD = """# Keys of a case

What `history` and `findings` of a drawing file may carry; the forms store the same. Written by `make keys`
from history.toml, findings.toml, joints.toml, ranges.toml and muscle_signs.toml.

yes_no is "yes", "no" or "unsure" (true and false are taken). choice is one of the words listed, choices a
list of them. A number is in the unit named, within the bounds. A grade is one of those listed. Every finding
may be "NT" (not tested). A finding marked sided is an object, {"right": value, "left": value}, one side or
both. What is left out was not asked or not tested; it is never taken for normal.
"""


MUSCLES = """`findings` may also carry `muscles`: a list of objects, one for each site of a muscle that was
examined. The same muscle, side and site stands there once. Only muscle and side are needed. An answer is
"yes", "no" (true and false are taken) or "NT". What is left out was not recorded; neither that nor "NT" is
ever taken for no.
"""


def text() -> str:
    history, findings = _lines("history", items.history()), _lines("findings", items.findings())
    return "\n".join([HEAD, *history, "", *findings, "", *_muscles(), ""])


def _muscles() -> list[str]:
    """The member `muscles` of the findings."""
    signs = felt.load()
    limits, grades = signs.limits, ", ".join(grade.id for grade in signs.strength.grades)
    answers = ", ".join(felt.ANSWERS)
    return [
        f"## findings.muscles ({signs.version})",
        "",
        MUSCLES,
        "- `muscle` id of a muscle of the atlas (the features of export_atlas that are patterns)",
        "- `side` (right, left)",
        "- `site` id of a site of that muscle; left out: the muscle as a whole",
        *(f"- `{sign.id}` ({answers}): {sign.label}" for sign in signs.signs),
        f"- `{felt.STRENGTH}` ({grades}): {signs.strength.label}",
        f"- `pain` whole number, {limits.pain[0]} to {limits.pain[1]}: Pain on pressing",
        f"- `pressure` object of {', '.join(felt_read.PRESSURE_MEMBERS)}: {signs.pressure.label}. unit"
        f" ({', '.join(felt.UNITS)}); trials: list of 1 to {limits.trials} numbers, each {limits.kpa[0]:g} to"
        f" {limits.kpa[1]:g} kPa (1 kgf/cm2 = {limits.kpa_per_kgf_cm2:g} kPa); tip_cm2:"
        f" {limits.tip_cm2[0]:g} to {limits.tip_cm2[1]:g}, left out when it is not known",
    ]


def _lines(member: str, catalogue: Catalogue) -> list[str]:
    found = [f"## {member} ({catalogue.version})", ""]
    for group in catalogue.groups:
        found += [f"### {group.title}", "", *(_line(item) for item in group.items), ""]
    return found[:-1]


def _line(item: Item) -> str:
    sided = ", sided" if item.sided else ""
    return f"- `{item.key}` {item.type}{sided}{_values(item)}: {item.label}"


def _values(item: Item) -> str:
    if item.type == "number":
        return f", {item.unit}, {item.least:g} to {item.most:g}"
    if item.type == "text":
        return f", at most {item.longest} characters"
    if item.type == "yes_no":
        return ""
    return " (" + ", ".join(one.id for one in item.choices) + ")"


if __name__ == "__main__":
    FILE.write_text(text(), encoding="utf-8")
    print(f"{FILE.name}: {len(items.history().items)} answers, {len(items.findings().items)} findings")
