"""`make codes`: writes the table of diagnosis codes from the package simple-icd-10-cm
(tests/requirements.txt).

The table holds everything the package has but the codes with a seventh character: these follow from the
code above them (table.py). It is written only when that gives every code and title of the package back.
"""

import gzip
import sys
from collections.abc import Iterator
from typing import Any

from charting.coding import table
from charting.coding.table import NOTES, Table

EXTENDED = "extended subcategory"
KINDS = {"chapter": "c", "section": "s"}


def main() -> None:
    release, chapters = _package()
    nodes = [found for chapter in chapters for found in _walk(chapter, 0)]
    text = "\n".join(_lines(release, nodes)) + "\n"
    _check(table.read(text.splitlines()), nodes)
    table.FILE.write_bytes(gzip.compress(text.encode(), compresslevel=9, mtime=0))
    sys.stdout.write(f"{table.FILE.name}: release {release}, {table.FILE.stat().st_size} bytes\n")


def _package() -> tuple[str, list[Any]]:
    """The release it says it holds ("April 2026"), and its trees of nodes."""
    from simple_icd_10_cm import simple_icd_10_cm as package

    name = package._all_codes_package_file_name.removesuffix(".txt")
    return " ".join(name.split("-")[2:]), package._chapter_list


def _walk(node: Any, level: int) -> Iterator[tuple[Any, int]]:
    yield node, level
    for child in node.children:
        yield from _walk(child, level + 1)


def _lines(release: str, nodes: list[tuple[Any, int]]) -> Iterator[str]:
    """The format that table.read reads: release, seventh characters, a line a code, its notes after it."""
    yield f"release\t{release}"
    sets: dict[str, int] = {}
    rows = list(_rows(nodes, sets))
    for words in sets:
        yield f"seventh\t{words}"
    yield from rows


def _rows(nodes: list[tuple[Any, int]], sets: dict[str, int]) -> Iterator[str]:
    for node, level in nodes:
        if node.type != EXTENDED:
            seventh = _seventh(node)
            number = sets.setdefault(seventh, len(sets)) if seventh else ""
            kind = KINDS.get(node.type, "d")
            terms = map(_line, node.inclusion_term)
            yield "\t".join((f"{kind}{level}", node.name, _line(node.description), str(number), *terms))
            yield from _notes(node)


def _seventh(node: Any) -> str:
    """ "A=initial encounter|D=subsequent encounter" of a code that has codes with a seventh character."""
    chars = [child.name[-1] for child in node.children if child.type == EXTENDED]
    meant = node.seven_chr_def or getattr(node.seven_chr_def_ancestor, "seven_chr_def", {})
    return "|".join(f"{char}={_line(meant[char])}" for char in chars)


def _notes(node: Any) -> Iterator[str]:
    for sign, name in NOTES.items():
        said = getattr(node, name)
        for note in [said] if isinstance(said, str) else said:
            for line in filter(None, map(_line, note.split("\n"))):
                yield f"{sign}\t{line}"


def _line(words: str) -> str:
    """On one line, one space between words: the XML of the list breaks lines within a title."""
    return " ".join(words.split())


def _check(made: Table, nodes: list[tuple[Any, int]]) -> None:
    """Every code, with its title and whether it is a leaf, as in the package."""
    for node, _ in nodes:
        if node.type not in KINDS:
            entry = made.entry(node.name)
            if (
                entry is None
                or entry.title != _line(node.description)
                or entry.billable is bool(node.children)
            ):
                raise SystemExit(f"{node.name}: the table would say {entry}; mend charting/coding/table.py")


if __name__ == "__main__":
    main()
