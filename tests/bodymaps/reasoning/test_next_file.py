"""The numbers and words of what to examine next: a file that cannot be used says what to mend."""

from __future__ import annotations

import copy
import tomllib
from typing import Any

import pytest

from bodymaps.reasoning import items, next_file
from bodymaps.reasoning.next_file import NextError

FILE = tomllib.loads((items.FOLDER / next_file.FILE).read_text(encoding="utf-8"))


def changed(table: str, name: str, value: Any) -> dict[str, Any]:
    data = copy.deepcopy(FILE)
    data[table][name] = value
    return data


@pytest.mark.parametrize(
    ("table", "name", "value", "said"),
    [
        ("among", "candidates", 0, "among candidates: must be a whole number from 1"),
        ("among", "proposals", 2.5, "among proposals: must be a whole number from 1"),
        ("among", "least_gain", "little", "among least_gain: must be a share between 0 and 1"),
        ("pressing", "same_share", 1.2, "pressing same_share: must be a share between 0 and 1"),
        ("pressing", "finger_mm", -3, "pressing finger_mm: must be a number above 0"),
        (
            "pressing",
            "status",
            "heard of",
            "pressing status: must be one of checked, from memory, common practice",
        ),
        ("pressing", "source", " ", "pressing source: must be a text"),
        ("tests", "together_within", 0, "tests together_within: must be a share between 0 and 1"),
        ("among", "reach", 0, "among reach: must be a number above 0"),
        ("among", "leader_most", 1, "among leader_most: must be a share between 0 and 1"),
        ("tests", "silent", True, "tests silent: must be a share between 0 and 1"),
        (
            "tests",
            "groups",
            ["neck", "wings"],
            "tests groups: no such groups in the catalogue of findings: wings",
        ),
        ("tests", "pages", "joint", "tests pages: must be a list"),
        ("words", "pressing", "", "words pressing: must be a text"),
        ("words", "more", "words", "words: missing or unknown: more"),
    ],
)
def test_an_entry_that_cannot_be_used_is_named_with_what_to_mend(
    table: str, name: str, value: Any, said: str
) -> None:
    with pytest.raises(NextError, match="examine_next.toml") as refused:
        next_file.read(changed(table, name, value))
    assert said in str(refused.value)


def test_a_missing_table_is_named() -> None:
    data = copy.deepcopy(FILE)
    del data["pressing"]
    with pytest.raises(NextError, match=r"\[pressing\] is missing"):
        next_file.read(data)


def test_words_lose_none_of_what_they_are_to_hold() -> None:
    data = copy.deepcopy(FILE)
    data["words"]["only_here"] = "It refers elsewhere than {others}."
    with pytest.raises(NextError, match=r"words only_here: must hold \{others\}, \{places\}"):
        next_file.read(data)


def test_the_file_of_this_release_is_read() -> None:
    assert next_file.load().version == FILE["version"]
