"""The page of pieces shows every piece that the pages are made of, and nothing of a practice."""

import re
from pathlib import Path

CSS = Path(__file__).resolve().parents[3] / "static" / "css"
# Classes that shape a page or a state, and are no pieces to look at.
NOT_SHOWN = {
    "page",
    "narrow",
    "columns",
    "wide-left",
    "visit",
    "inline",
    "fit",
    "top",
    "of-4",
    "of-6",
    "text",
    "entrance-mark",
}


def classes(name: str) -> set[str]:
    rules = re.sub(r"/\*.*?\*/|\{[^}]*\}", " ", (CSS / name).read_text(), flags=re.DOTALL)
    return set(re.findall(r"\.([a-z][a-z0-9-]*)", rules))


def test_it_shows_every_piece_of_the_style_sheets(anna, as_mara):
    page = as_mara.get("/pieces/").content.decode()
    shown = {name for names in re.findall(r'class="([^"]*)"', page) for name in names.split()}
    assert classes("page.css") - shown - NOT_SHOWN == set()


def test_it_shows_nobody(visit, as_mara):
    page = as_mara.get("/pieces/").content.decode()
    assert "Keller" not in page and "Sample Person" in page
