"""What a patient is asked alone, and what never is."""

from dataclasses import replace

import pytest

from bodymaps.reasoning import items
from charting.telling import screens
from charting.telling.models import Telling
from charting.telling.screens import ScreensError
from tests.charting.telling.conftest import answer, handed_over

CATALOGUE = items.history()
ALONE = ("danger", "story", "standing")


def test_every_question_of_those_pages_that_has_words_for_the_patient_is_asked():
    wanted = {i.key for page in ALONE for group in CATALOGUE.on_page(page) for i in group.items if i.ask}
    assert screens.asked_keys() == wanted and len(wanted) > 40


def test_no_question_that_needs_somebody_in_the_room_is_asked(device):
    called_for = {item.key for group in CATALOGUE.on_page("asked on") for item in group.items}
    assert {"suicidal_thoughts", "suicidal_plan"} <= called_for
    assert not called_for & screens.asked_keys()
    pages = [device.get(f"/board/story/{each.id}/").content.decode() for each in screens.load().screens]
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


def test_every_section_has_words_for_the_patient():
    titles = {each.section: each.title for each in screens.load().screens}
    staff = {group.id: group.title for group in CATALOGUE.groups}
    assert titles["danger"] != staff["danger"] and titles["standing"] != staff["standing"]
    assert all(titles.values())


def test_a_group_that_is_new_stands_under_its_own_title():
    new = replace(CATALOGUE.on_page("story")[0], id="new_group", title="Something new")
    with_new = replace(CATALOGUE, groups=(*CATALOGUE.groups, new))
    found = screens.read({"pages": ["story"]}, with_new).screens
    assert found[-1].title == "Something new"


def test_each_screen_holds_one_question_with_what_hangs_on_it():
    together = {"eases", "work_load"}
    for each in screens.load().screens:
        keys = {item.key for item in each.items}
        hanging = [item for item in each.items if screens.opened_by(item)[0] in keys]
        assert len(each.items) - len(hanging) == 1 or each.id in together, each.id


@pytest.mark.parametrize(
    ("wrong", "words"),
    [
        ({"screen": [{"keys": ["eases", "onset"]}]}, "of one group"),
        ({"screen": [{"keys": ["eases", "nobody"]}]}, "nobody"),
        ({"asked_if": {"morning_stiffness": {"item": "day_course", "is": ["noon"]}}}, "noon"),
        ({"asked_if": {"nobody": {"item": "day_course", "is": ["evening"]}}}, "asked_if.nobody"),
        ({"heads": {"lasted": {"Short": ["days"]}}}, "heads.lasted"),
        ({"changes": ["nobody"]}, "changes.*nobody"),
    ],
)
def test_what_is_wrong_in_the_data_file_is_named(wrong, words):
    with pytest.raises(ScreensError, match=words):
        screens.read({"pages": ["story"], **wrong}, CATALOGUE)


def test_at_a_further_visit_the_danger_questions_and_what_changes_are_asked(blank, mara):
    device = handed_over(blank, mara, tells="changes")
    assert device.get("/board/story/").headers["Location"] == "/board/story/trauma/"
    assert device.get("/board/story/course/").status_code == 200
    for standing in ("onset", "who_answers", "goals"):
        assert device.get(f"/board/story/{standing}/").headers["Location"] == "/board/story/"
    danger = {item.key for group in CATALOGUE.on_page("danger") for item in group.items}
    assert danger <= screens.load().changes


def test_what_an_answer_on_another_screen_rules_out_is_passed_by_and_the_count_stays(device):
    first = device.get("/board/story/lasted/").context["page"].place
    to = answer(device, "mood_low", mood_low="no").headers["Location"]
    assert to == "/board/story/sleep_poor/"
    answer(device, "lasted", lasted="over_3_months")
    assert answer(device, "mood_low", mood_low="no").headers["Location"] == "/board/story/worry/"
    assert device.get("/board/story/lasted/").context["page"].place == first


def test_an_answer_stays_although_its_question_would_not_be_asked_any_more(device):
    answer(device, "lasted", lasted="over_3_months")
    answer(device, "worry", worry="yes")
    answer(device, "lasted", lasted="weeks")
    assert Telling.objects.get().answers == {"lasted": "weeks", "worry": "yes"}


def test_what_the_scores_ask_is_not_asked_twice(blank, mara):
    both = handed_over(blank, mara, asks=["scores"])
    assert both.get("/board/story/goals/").headers["Location"] == "/board/story/"


def test_a_question_that_hangs_on_another_answer_is_asked_with_it(device):
    answer(device, "beginning", day_course=["morning"], morning_stiffness="20")
    assert Telling.objects.get().answers == {"day_course": ["morning"], "morning_stiffness": 20}
    answer(device, "beginning", day_course=["evening"], morning_stiffness="20")
    assert Telling.objects.get().answers == {"day_course": ["evening"]}


@pytest.mark.parametrize(("sex", "is_asked"), [("female", True), ("unknown", True), ("male", False)])
def test_pregnancy_is_asked_of_whom_it_may_concern(sex, is_asked, device, anna):
    type(anna).objects.update(sex=sex)
    page = device.get("/board/story/pregnancy/")
    assert (page.status_code == 200) == is_asked
    assert ('name="pregnancy_week"' in page.content.decode()) == is_asked


def test_what_hangs_on_an_answer_stands_below_it_and_counts_only_with_it(device):
    page = device.get("/board/story/allergy/")
    questions = {each.item.key: each for each in page.context["page"].questions}
    assert [each.item.key for each in questions["allergy"].follow] == ["allergy_which"]
    assert {o.value for o in questions["allergy"].options if o.opens} == {"yes", "unsure"}
    answer(device, "standing", allergy="yes", allergy_which="latex")
    assert Telling.objects.get().answers == {"allergy": "yes", "allergy_which": "latex"}
    answer(device, "standing", allergy="no", allergy_which="latex")
    assert Telling.objects.get().answers == {"allergy": "no"}
