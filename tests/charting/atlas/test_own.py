"""A practice's own pattern stands in its atlas, and in no other."""

import pytest

from bodymaps import atlas as release
from bodymaps import geometry, own, where
from bodymaps.own import OwnPattern
from bodymaps.patterns import Source
from charting.atlas import names
from charting.atlas.kinds import BY_SLUG
from charting.atlas.pages import entry_page

OWN = OwnPattern(
    id="infraspinatus",
    name="infraspinatus",
    version=2,
    site="below the spine of the shoulder blade",
    source=Source("seen here", "2026", "from memory"),
    reason="Felt more to the front here.",
    zones={("front", "core"): geometry.box(280, 320, 300, 340)},
)


@pytest.fixture(scope="module")
def known():
    new = OwnPattern(**{**OWN.__dict__, "id": "own_cord", "name": "cord of the neck", "version": 1})
    return own.applied(release.load(), [OWN, new])


def test_it_says_that_the_practice_uses_its_own(known):
    for name, words in (("infraspinatus", "own pattern, version 2"), ("masseter", "")):
        page = entry_page(known, BY_SLUG["muscle"], known.muscles[name], "right", "", alike={})
        assert page.own == words


def test_it_answers_with_the_own_pattern_first(known):
    found = [one.id for one in where.refers_here(known, "front", 290, 330)]
    assert found[:2] == ["infraspinatus", "own_cord"]
    assert "infraspinatus" not in [
        one.id for one in where.refers_here(known, "front", 260, 460) if one.side == "right"
    ]


def test_a_new_one_is_found_by_its_name_under_the_part_where_it_is_felt(known):
    (found,) = names.found(known, "cord neck")
    assert (found.id, found.body_part) == ("own_cord", "shoulder")


def test_the_page_of_another_practice_knows_nothing_of_it(as_mara, as_ines, monkeypatch, practice, known):
    monkeypatch.setattr(
        "charting.atlas.queries.atlas_for", lambda asked: known if asked == practice else release.load()
    )
    assert as_mara.get("/atlas/muscle/own_cord/").status_code == 200
    assert "own pattern, version 2" in as_mara.get("/atlas/muscle/infraspinatus/").content.decode()
    assert as_ines.get("/atlas/muscle/own_cord/").status_code == 404
    assert "own pattern" not in as_ines.get("/atlas/muscle/infraspinatus/").content.decode()
