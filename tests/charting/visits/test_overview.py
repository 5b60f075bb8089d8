"""The page of a visit, and the rail: what it holds, what is missing, where one is."""

import re

from charting.flags.queries import state_of
from charting.history.models import StoryAnswer
from charting.templatetags.steps import steps_of
from tests.charting import recorded


def done(visit):
    return {step.url: step.done for step in steps_of(visit)}


def test_it_shows_an_empty_visit_as_empty(blank):
    assert set(done(blank).values()) == {""}


def test_it_says_what_each_step_holds(visit):
    to_ask = sum(len(each.items) for each in state_of(visit).to_ask)
    assert to_ask and done(visit) == {
        "story": "written",
        "outcomes": "",
        "danger-screen": "answered",
        "drawing-step": "drawn",
        "flags": f"{to_ask} to ask",
        "candidates": "",
        "neuro-screen": "recorded",
        "muscles": "",
        "joints": "",
        "assessment": "",
        "codes": "",
        "consents": "1 signed",
        "treatment": "",
        "note": "begun",
    }


def test_a_story_told_by_taps_alone_is_written_too(blank):
    StoryAnswer.objects.create(visit=blank, key="onset", value="sudden")
    assert done(blank)["story"] == "written"


def test_questions_that_the_drawing_calls_for_wait_until_the_danger_screen_is_answered(blank):
    recorded.draw(blank, recorded.SHOULDER_ACHE)
    assert state_of(blank).to_ask and "to ask" not in done(blank)["flags"]


def test_what_is_still_to_be_asked_does_not_look_done(visit, as_mara):
    text = as_mara.get(f"/visits/{visit.pk}/").content.decode()
    assert re.search(r'chip open">\d+ to ask', text) and not re.search(r'chip done">\d+ to ask', text)


def test_it_counts_what_is_to_be_acted_on(blank):
    recorded.answer_danger_screen(blank, fever="yes", cancer="unsure")
    step = next(step for step in steps_of(blank) if step.url == "flags")
    assert (step.done, step.is_urgent) == ("2 to decide", True)


def test_it_marks_the_page_one_is_on(blank, as_mara):
    for page, label in (("story", "Story"), ("neuro-screen", "Neuro screen"), ("", "Overview")):
        text = as_mara.get(f"/visits/{blank.pk}/{page}{'/' if page else ''}").content.decode()
        rail = text[text.index('<nav class="steps"') :]
        current = re.findall(r'aria-current="page">([^<]+)<', rail[: rail.index("</nav>")])
        assert [each.strip() for each in current] == [label]


def test_it_offers_the_hand_over_until_the_visit_is_signed(visit, as_mara):
    assert "Hand the device" in as_mara.get(f"/visits/{visit.pk}/").content.decode()
    type(visit).objects.filter(pk=visit.pk).update(signed_at=visit.started_at)
    assert "Hand the device" not in as_mara.get(f"/visits/{visit.pk}/").content.decode()


def test_it_offers_no_form_to_who_may_only_read(visit, as_vera):
    for page in ("story", "danger-screen", "neuro-screen"):
        text = as_vera.get(f"/visits/{visit.pk}/{page}/").content.decode()
        assert "data-draft" not in text
    assert "Pain in the front" in as_vera.get(f"/visits/{visit.pk}/story/").content.decode()
