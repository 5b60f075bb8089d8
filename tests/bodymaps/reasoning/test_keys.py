"""The list of keys is what the catalogues hold."""

from __future__ import annotations

from bodymaps.making import keys
from bodymaps.reasoning import items


def test_the_list_of_keys_is_written_anew_after_every_change() -> None:
    assert keys.FILE.read_text(encoding="utf-8") == keys.text(), "run make keys"


def test_it_names_every_key() -> None:
    listed = keys.FILE.read_text(encoding="utf-8")
    for key in (*items.history().items, *items.findings().items):
        assert f"- `{key}` " in listed
