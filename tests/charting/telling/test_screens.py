"""What a patient is asked alone, and what never is."""

from dataclasses import replace

import pytest

from bodymaps.reasoning import items
from charting.telling import screens
from charting.telling.models import Telling
from charting.telling.screens import ScreensError
from tests.charting.telling.conftest import answer

CATALOGUE = items.history()
ALONE = ("danger", "story", "standing")


def test_every_question_of_those_pages_that_has_words_for_the_patient_is_asked():
    wanted = {i.key for page in ALONE for group in CATALOGUE.on_page(page) for i in group.items if i.ask}
    assert screens.asked_keys() == wanted and len(wanted) > 40


def test_no_question_that_needs_somebody_in_the_room_is_asked(device):
    called_for = {item.key for group in CATALOGUE.on_page("asked on") for item in group.items}
    assert {"suicidal_thoughts", "suicidal_plan"} <= called_for
    assert not called_for & screens.asked_keys()
    pages = [device.get(f"/board/story/{each.id}/").content.decode() for each in screens.load()]
    for group in CATALOGUE.on_page("asked on"):
        assert device.get(f"/board/story/{group.id}/").headers["Location"] == "/board/story/"
        for item in group.items:
            assert not any(f'name="{item.key}"' in page for page in pages)


def test_an_answer_to_such_a_question_is_not_taken(device):
    answer(device, "person", mood_low="yes", suicidal_thoughts="yes")
    assert Telling.objects.get().answers == {"mood_low": "yes"}


def test_a_data_file_that_would_ask_them_is_refused():
    with pytest.raises(ScreensError, match="asked on"):
        screens.read({"pages": ["story", "asked on"]}, CATALOGUE)


def test_a_first_group_that_is_not_there_is_named():
    with pytest.raises(ScreensError, match="nowhere"):
        screens.read({"pages": ["story"], "first": ["nowhere"]}, CATALOGUE)


def test_every_group_has_words_for_the_patient():
    titles = {each.id: each.title for each in screens.load()}
    staff = {group.id: group.title for group in CATALOGUE.groups}
    assert titles["danger"] != staff["danger"] and titles["standing"] != staff["standing"]
    assert all(titles.values())


def test_a_group_that_is_new_stands_under_its_own_title():
    new = replace(CATALOGUE.on_page("story")[0], id="new_group", title="Something new")
    with_new = replace(CATALOGUE, groups=(*CATALOGUE.groups, new))
    found = screens.read({"pages": ["story"]}, with_new)
    assert found[-1].title == "Something new"


@pytest.mark.parametrize(("sex", "is_asked"), [("female", True), ("unknown", True), ("male", False)])
def test_pregnancy_is_asked_of_whom_it_may_concern(sex, is_asked, device, anna):
    type(anna).objects.update(sex=sex)
    page = device.get("/board/story/standing/").content.decode()
    assert ('name="pregnancy"' in page) == is_asked
    assert ('name="pregnancy_week"' in page) == is_asked


def test_what_hangs_on_an_answer_stands_below_it_and_counts_only_with_it(device):
    page = device.get("/board/story/standing/")
    questions = {each.item.key: each for each in page.context["page"].questions}
    assert [each.item.key for each in questions["allergy"].follow] == ["allergy_which"]
    assert {o.value for o in questions["allergy"].options if o.opens} == {"yes", "unsure"}
    answer(device, "standing", allergy="yes", allergy_which="latex")
    assert Telling.objects.get().answers == {"allergy": "yes", "allergy_which": "latex"}
    answer(device, "standing", allergy="no", allergy_which="latex")
    assert Telling.objects.get().answers == {"allergy": "no"}
