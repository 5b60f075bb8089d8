"""The table held against the package it was made from (simple-icd-10-cm 1.5.0, ICD-10-CM of April 2026):
every code, title, leaf, inclusion term, note and seventh character.
"""

import subprocess
import sys
from collections.abc import Iterator
from typing import Any

import pytest
import simple_icd_10_cm as package

from charting.coding import making, table

KINDS = ("category", "subcategory", "extended subcategory")


@pytest.fixture(scope="module")
def nodes() -> list[Any]:
    """Every code of the package; chapters and blocks left out."""
    _, chapters = making._package()
    return [node for chapter in chapters for node in below(chapter) if node.type in KINDS]


def below(node: Any) -> Iterator[Any]:
    yield node
    for child in node.children:
        yield from below(child)


def line(words: str) -> str:
    return " ".join(words.split())


def test_it_has_every_code_with_title_and_leaf_flag(nodes):
    known = table.load()
    held = [known.entry(node.name) for node in nodes]
    wrong = [
        node.name
        for node, entry in zip(nodes, held, strict=True)
        if entry is None
        or (entry.code, entry.title) != (node.name, line(package.get_description(node.name)))
        or entry.billable is not package.is_leaf(node.name)
    ]
    assert wrong == []
    # So many codes can be billed in the fiscal year 2026, by CMS (from memory).
    assert sum(entry.billable for entry in held if entry) == 74719


def test_it_has_no_code_that_the_package_does_not_have(nodes):
    known = table.load()
    there = {node.name for node in nodes}
    codes = {known.at(row).code for row in range(known.rows) if known.is_code(row)}
    extended = {
        each.code
        for row in range(known.rows)
        if known.is_code(row)
        for each in known.below(known.at(row))
        if each.row == row
    }
    assert codes | extended == there


def test_it_has_what_stands_above_and_below_each(nodes):
    known = table.load()
    for node in nodes:
        entry = known.entry(node.name)
        assert entry
        above = next(known.above(entry))
        assert above.code == node.parent.name, node.name
        assert [each.code for each in known.below(entry)] == [child.name for child in node.children], (
            node.name
        )


def test_it_has_every_term_and_every_note(nodes):
    known = table.load()
    for node in nodes:
        if node.type == "extended subcategory":
            continue
        entry = known.entry(node.name)
        assert entry and list(entry.terms) == [line(term) for term in node.inclusion_term], node.name
        own = [note for note in known.notes_of(entry) if note.at == node.name]
        for kind in table.NOTES.values():
            said = getattr(node, kind)
            lines = [one for note in ([said] if isinstance(said, str) else said) for one in note.split("\n")]
            # A block of one category has its name: what stands at the block follows.
            held = [note.words for note in own if note.kind == kind]
            assert held[: len([one for one in lines if one.strip()])] == [
                line(one) for one in lines if one.strip()
            ], (node.name, kind)


def test_notes_come_from_everything_above(nodes):
    """Every Excludes1 note of a code and of its ancestors, as the package gives them."""
    known = table.load()
    for code in ("M79.12", "M54.12", "M50.122", "G56.01", "S13.4XXA", "M25.511", "M62.830", "R51.9"):
        entry = known.entry(code)
        assert entry
        held = {note.words for note in known.notes_of(entry) if note.kind == "excludes1"}
        wanted = {one for each in (code, *package.get_ancestors(code)) for one in package.get_excludes1(each)}
        assert wanted <= held, code


def test_the_table_is_the_one_the_command_writes():
    """The file that is committed is what `make codes` makes of the pinned package, byte for byte."""
    before = table.FILE.read_bytes()
    made = subprocess.run([sys.executable, "-m", "charting.coding.making"], capture_output=True, text=True)
    after = table.FILE.read_bytes()
    table.FILE.write_bytes(before)
    assert made.returncode == 0, made.stderr
    assert after == before


def test_nothing_that_runs_needs_the_package():
    """It is there for tests alone: the table, search and rules load with it hidden."""
    code = (
        "import sys; sys.modules['simple_icd_10_cm'] = None\n"
        "from charting.coding import excludes, offers, refusals, search, sites\n"
        "assert search.find('myalgia').hits and sites.load()\n"
    )
    made = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True)
    assert made.returncode == 0, made.stderr
