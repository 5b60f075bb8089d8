"""What refers here? The page answers a tap and a region, in words and on the figure, from its address."""

import re

import pytest

from bodymaps import atlas as release
from bodymaps import skin, where
from charting.atlas.forms import key_of

PIECE = {"HX-Request": "true"}
SHOULDER = {"view": "front", "x": "290", "y": "330"}


def picks(response) -> list[str]:
    return re.findall(r'<a class="line" href="[^"]*pick=([\w.-]+)"', response.content.decode())


def test_it_lists_what_holds_the_point_cores_first(as_mara):
    answer = as_mara.get("/atlas/", SHOULDER)
    expected = where.refers_here(release.load(), "front", 290, 330)
    assert [each.split(".")[1:3] for each in picks(answer)] == [[one.id, one.side] for one in expected]
    words = answer.content.decode()
    assert words.index("Core: felt here") < words.index("Spillover: felt here")


def test_it_says_where_the_point_lies_and_marks_it(as_mara):
    words = as_mara.get("/atlas/", SHOULDER).content.decode()
    assert "Right outer shoulder, front view" in words or "Front of right shoulder, front view" in words
    assert words.count('data-asked="point"') == 1
    assert re.search(r'id="mark-front"[^>]*><path data-asked="point" d="M256\.0 330\.0', words)


@pytest.mark.parametrize("patch", skin.load().patches[3::40], ids=key_of)
def test_a_region_is_answered_without_a_tap(as_mara, patch):
    key = key_of(patch)
    answer = as_mara.get("/atlas/", {"region": key})
    expected = where.refers_into(release.load(), patch)
    assert [each.split(".")[1:3] for each in picks(answer)] == [[one.id, one.side] for one in expected]
    assert 'data-asked="region"' in answer.content.decode()
    assert f'<option value="{key}" selected>' in answer.content.decode()


def test_an_urgent_organ_stands_out_among_the_answers(as_mara):
    """In front of the breastbone, where angina is felt."""
    words = as_mara.get("/atlas/", {"view": "front", "x": "500", "y": "420"}).content.decode()
    assert '<strong class="care">may need a physician the same day</strong>' in words
    assert (
        '<strong class="care">'
        not in as_mara.get("/atlas/", {"view": "front", "x": "375", "y": "1420"}).content.decode()
    )


def test_every_region_can_be_chosen_once(as_mara):
    options = re.findall(r'<option value="([^"]+)"', as_mara.get("/atlas/").content.decode())
    assert sorted(options) == sorted(key_of(patch) for patch in skin.load().patches)


def test_a_pick_shows_its_pattern_with_a_few_facts(as_mara):
    pick = picks(as_mara.get("/atlas/", SHOULDER))[0]
    whole = as_mara.get("/atlas/", {**SHOULDER, "pick": pick}).content.decode()
    assert "lies over the figure" in whole and "Open this entry" in whole
    assert re.search(r'id="pattern-(front|back)"[^>]*>\s*<path data-zone', whole)
    piece = as_mara.get("/atlas/", {**SHOULDER, "pick": pick}, headers=PIECE).content.decode()
    assert "<html" not in piece and "Open this entry" in piece
    assert "mark-front" not in piece


def test_going_back_in_the_history_gets_the_whole_page(as_mara):
    headers = {**PIECE, "HX-History-Restore-Request": "true"}
    assert "<html" in as_mara.get("/atlas/", SHOULDER, headers=headers).content.decode()


@pytest.mark.parametrize(
    "pick", ["", "muscle", "muscle.nobody.right.all", "root.C6.up", "organ.C6.right", "a.b.c.d.e"]
)
def test_a_pick_that_there_is_not_shows_none(as_mara, pick):
    words = as_mara.get("/atlas/", {**SHOULDER, "pick": pick}).content.decode()
    assert "lies over the figure" not in words
    piece = as_mara.get("/atlas/", {**SHOULDER, "pick": pick}, headers=PIECE)
    assert piece.status_code == 200


def test_a_point_beside_the_body_is_said_to_be_beside_it(as_mara):
    words = as_mara.get("/atlas/", {"view": "front", "x": "5", "y": "5"}).content.decode()
    assert "Beside the body" in words
    assert "No pattern" not in words


@pytest.mark.parametrize(
    "asked",
    [
        {"view": "front", "x": "a", "y": "1"},
        {"view": "front", "x": "1"},
        {"view": "side", "x": "1", "y": "1"},
        {"view": "front", "x": "nan", "y": "1"},
        {"view": "front", "x": "1e9", "y": "1"},
        {"x": "1", "y": "1"},
        {"region": "front:nowhere.right"},
    ],
)
def test_what_is_no_place_is_refused_in_words_that_say_what_to_do(as_mara, asked):
    answer = as_mara.get("/atlas/", asked)
    assert answer.status_code == 422
    assert re.search(r"[Tt]ap the figure", answer.content.decode())
    assert picks(answer) == []


def test_looking_closer_keeps_the_question(as_mara):
    words = as_mara.get("/atlas/", SHOULDER).content.decode()
    assert 'href="?look=shoulders&amp;view=front&amp;x=290&amp;y=330"' in words
    closer = as_mara.get("/atlas/", {**SHOULDER, "look": "shoulders"})
    assert picks(closer) == picks(as_mara.get("/atlas/", SHOULDER))
    assert "patient&#x27;s right on the left" in closer.content.decode() or "patient's right on the left" in (
        closer.content.decode()
    )


def test_a_place_of_one_view_leaves_the_other_out(as_mara):
    words = as_mara.get("/atlas/", {"look": "low_back"}).content.decode()
    assert 'data-view="back"' in words and 'data-view="front"' not in words


def test_the_atlas_is_the_same_for_every_role(as_mara, as_poll, as_vera, as_ines):
    told = [each.get("/atlas/", SHOULDER) for each in (as_mara, as_poll, as_vera, as_ines)]
    assert len({tuple(picks(each)) for each in told}) == 1 and picks(told[0])
