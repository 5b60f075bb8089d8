"""Write data/reasoning/keys.md: every key of a case with its type, unit and choices, for who writes a file.

python -m bodymaps.making.keys
"""

from __future__ import annotations

from bodymaps.reasoning import items
from bodymaps.reasoning.items import Catalogue, Item

FILE = items.FOLDER / "keys.md"
HEAD = """# Keys of a case

What `history` and `findings` of a drawing file may carry; the forms store the same. Written by `make keys`
from history.toml and findings.toml.

yes_no is "yes", "no" or "unsure" (true and false are taken). choice is one of the words listed, choices a
list of them. A number is in the unit named, within the bounds. A grade is one of those listed. Every finding
may be "NT" (not tested). A finding marked sided is an object, {"right": value, "left": value}, one side or
both. What is left out was not asked or not tested; it is never taken for normal.
"""


def text() -> str:
    return "\n".join(
        [HEAD, *_lines("history", items.history()), "", *_lines("findings", items.findings()), ""]
    )


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
