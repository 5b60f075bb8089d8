"""No page claims a diagnosis: the word family stands in the standing caution and nowhere else."""

import re
from pathlib import Path

import pytest
from django.urls import reverse

from bodymaps import atlas
from charting.candidates import queries
from charting.candidates.pages import picked
from charting.drawing.picture import WHOLE
from charting.report.content import CAUTION, assemble, canonical

ROOT = Path(__file__).resolve().parents[3]
FAMILY = re.compile(r"diagnos", re.IGNORECASE)
TEMPLATES = sorted((ROOT / "templates").rglob("*.*"))
DATA = sorted([*(ROOT / "charting").rglob("*.toml"), *(ROOT / "bodymaps" / "data").rglob("*.toml")])


# What the sheet for a patient says of itself, and what is said beside what to examine next.
DENIALS = (
    "It is no diagnosis.",
    "This sheet is a picture, no diagnosis.",
    "A suggestion, never a diagnosis.",
)


def claims(text: str) -> list[str]:
    for denial in (CAUTION, *DENIALS):
        text = text.replace(denial, "")
    return FAMILY.findall(text)


def spoken(file: Path) -> str:
    """What a data file says to a reader: without its comments, and without the titles of works it cites."""
    lines = file.read_text(encoding="utf-8").splitlines()
    return "\n".join(line for line in lines if not re.match(r"\s*(#|work|source|chapter|\{ work)", line))


def test_it_claims_none_in_a_template():
    assert len(TEMPLATES) > 200
    for file in TEMPLATES:
        assert claims(file.read_text(encoding="utf-8")) == [], file.relative_to(ROOT)


def test_it_claims_none_in_a_data_file():
    assert len(DATA) > 100
    for file in DATA:
        assert claims(spoken(file)) == [], file.relative_to(ROOT)


def test_it_claims_none_for_any_muscle_or_root(as_mara, visit, monkeypatch):
    """Every answer is that of the page; what is the same for all of them, the ranking, is made once."""
    found = queries.ranked(visit)
    monkeypatch.setattr(queries, "ranked", lambda of: found)
    known = atlas.load()
    url = reverse("candidates", args=[visit.pk])
    for name in (*known.muscles, *known.dermatomes):
        assert picked(f"{name}.left", WHOLE).heading
        piece = as_mara.get(url, {"pick": f"{name}.left"}, headers={"HX-Request": "true"}).content.decode()
        assert claims(piece) == [], name


def test_it_claims_none_in_the_note(visit):
    assert claims(canonical(assemble(visit)).decode()) == []


@pytest.mark.parametrize("name", ["candidates", "note", "note-sign"])
def test_it_says_the_standing_caution_on_every_page(as_mara, visit, name):
    shown = as_mara.get(reverse(name, args=[visit.pk])).content.decode()
    assert CAUTION in shown
    assert claims(shown) == []
