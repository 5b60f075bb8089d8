"""The page of a joint: what is shown first, what one tap fills, what is wrong; nothing typed is lost."""

import re

import pytest

from bodymaps.reasoning import ranges
from charting.drafts.models import Draft
from charting.examination.joints import joint_of
from charting.examination.models import RangeReading
from charting.examination.range_limits import Taken
from charting.screening.models import NeuroFinding
from tests.charting import recorded

RIGHT = "range_shoulder_flexion_right"
NECK = "range_neck_rotation_right"


@pytest.fixture
def url(blank):
    return f"/visits/{blank.pk}/joints/"


@pytest.fixture
def sent(blank):
    """What a browser sends from the page of a joint."""

    def made(joint="shoulder", **fields):
        return {"joint": joint, "state": joint_of(blank, joint).state, **fields}

    return made


def main(response):
    text = response.content.decode()
    return text[text.index('<main id="content"') : text.index("</main>")]


def value(response, name):
    """What stands in a text field."""
    found = re.search(rf'name="{name}" value="([^"]*)"', main(response))
    assert found, name
    return found[1]


def test_the_joint_that_is_drawn_is_shown_first_and_the_others_one_tap_away(blank, as_mara, url):
    recorded.draw(blank, recorded.CALF_BURNING)
    page = as_mara.get(url).context["page"]
    assert page.joint.id in ("knee", "ankle")
    assert len(page.choices) == len(ranges.load().joints) == 11
    assert "drawn" in next(each.marks for each in page.choices if each.is_shown)


@pytest.mark.parametrize("joint", [joint.id for joint in ranges.load().joints])
def test_every_joint_has_its_page_with_tests_cautions_and_accuracy(as_mara, url, joint):
    response = as_mara.get(f"{url}?joint={joint}")
    page = response.context["page"]
    assert page.joint.id == joint and page.joint.mind
    assert sum(len(group.tests) for group in page.tests) > 0
    text = main(response)
    assert text.count("Accuracy:") == sum(len(group.tests) for group in page.tests)
    assert ("Range</h2>" in text) == (joint != "sacroiliac")


def test_a_test_without_a_published_figure_says_so(as_mara, url):
    shown = [each for group in as_mara.get(f"{url}?joint=jaw").context["page"].tests for each in group.tests]
    assert {each.short for each in shown if not each.published} == {"no figure"}
    knee = as_mara.get(f"{url}?joint=knee").context["page"].tests
    lachman = next(each for group in knee for each in group.tests if each.row.key == "knee:lachman")
    assert lachman.published and "ratio positive" in lachman.short


def test_one_save_keeps_range_and_tests(as_mara, url, sent, blank):
    fields = {
        "instrument": "goniometer",
        f"{RIGHT}_active": "152,5",
        f"{RIGHT}_passive": "160",
        f"{RIGHT}_end_feel": "firm",
        f"{RIGHT}_pain": "4",
        "shoulder_hawkins_right": "positive",
    }
    response = as_mara.post(url, sent(**fields))
    assert response.status_code == 302 and response["Location"].endswith("?joint=shoulder")
    assert joint_of(blank, "shoulder").readings == {
        ("shoulder_flexion", "right"): Taken(152.5, 160, "goniometer", "firm", "yes", 4)
    }
    assert NeuroFinding.objects.get().item == "shoulder:hawkins"
    again = as_mara.get(response["Location"])
    assert value(again, f"{RIGHT}_active") == "152.5"


def test_one_movement_may_have_an_instrument_of_its_own(as_mara, url, sent, blank):
    own = {"range_shoulder_flexion_instrument": "by_eye", f"{RIGHT}_active": "150"}
    other = {"range_shoulder_abduction_right_active": "120", "instrument": "goniometer"}
    assert as_mara.post(url, sent(**own, **other)).status_code == 302
    kept = joint_of(blank, "shoulder").readings
    assert kept["shoulder_flexion", "right"].instrument == "by_eye"
    assert kept["shoulder_abduction", "right"].instrument == "goniometer"
    page = as_mara.get(f"{url}?joint=shoulder").context["page"]
    assert page.typed.instrument_for(page.typed.movements[0]) == "by_eye"


def test_a_movement_that_only_one_instrument_reads_needs_no_choice(as_mara, url, sent, blank):
    as_mara.post(url, sent("thoracic", range_chest_expansion_active="5"))
    assert RangeReading.objects.get().instrument == "tape"


@pytest.mark.parametrize(
    ("fields", "field", "words"),
    [
        ({f"{RIGHT}_active": "far"}, f"{RIGHT}_active", "Shoulder, Flexion, right: Enter a number"),
        ({f"{RIGHT}_active": "nan"}, f"{RIGHT}_active", "Enter a number"),
        ({f"{RIGHT}_passive": "300", "instrument": "goniometer"}, f"{RIGHT}_passive", "300° is outside"),
        ({f"{RIGHT}_active": "90"}, "range_shoulder_flexion_instrument", "Say with what it was measured"),
        ({f"{RIGHT}_hurts": "NT"}, f"{RIGHT}_remark", "Say why it was not tested"),
        ({f"{RIGHT}_pain": "4.5"}, f"{RIGHT}_pain", "Enter a number"),
        ({"shoulder_hawkins_right": "NT"}, "shoulder_hawkins_right_remark", "Say why it was not tested"),
    ],
)
def test_what_is_wrong_is_named_at_its_field_and_nothing_typed_is_lost(
    as_mara, url, sent, fields, field, words
):
    typed = {"range_shoulder_extension_left_remark": "kept", "shoulder_neer_left": "negative", **fields}
    response = as_mara.post(url, sent(**typed))
    assert response.status_code == 422
    assert f'<a href="#{field}">' in main(response) and words in main(response)
    assert f'id="{field}"' in main(response)
    assert f'id="{field}_error"' in main(response)
    assert value(response, "range_shoulder_extension_left_remark") == "kept"
    assert response.context["page"].typed.tests.values["shoulder:neer", "left"] == ("negative", "")
    assert not RangeReading.objects.exists() and not NeuroFinding.objects.exists()


def test_one_tap_says_painless_and_fills_in_no_number(as_mara, url, sent):
    said = sent(**{f"{RIGHT}_hurts": "yes", "fill": "range"})
    typed = as_mara.post(url, said).context["page"].typed
    hurts = [texts["hurts"] for texts in typed.readings.values()]
    assert hurts.count("no") == len(hurts) - 1 and hurts.count("yes") == 1
    assert all(set(texts) == {"hurts"} for texts in typed.readings.values())
    assert not RangeReading.objects.exists()


def test_one_tap_fills_the_tests_of_the_joint_and_of_no_other(as_mara, url, sent, blank):
    filled = as_mara.post(url, sent(fill="shoulder", shoulder_hawkins_right="positive"))
    values = filled.context["page"].typed.tests.values
    assert values["shoulder:hawkins", "right"][0] == "positive"
    assert values["shoulder:neer", "left"][0] == "negative"
    assert {key.partition(":")[0] for key, _ in values} == {"shoulder"}


def test_what_is_not_tested_needs_one_reason(as_mara, url, sent):
    assert as_mara.post(url, sent(untested="range", reason_range=" ")).status_code == 422
    said = sent(untested="range", reason_range="too painful", **{f"{RIGHT}_active": "90"})
    typed = as_mara.post(url, said).context["page"].typed
    assert typed.readings["shoulder_flexion", "right"] == {"active": "90"}
    assert typed.readings["shoulder_flexion", "left"] == {"hurts": "NT", "remark": "too painful"}
    again = as_mara.post(url, sent(untested="shoulder", reason_shoulder="sling")).context["page"]
    assert again.typed.tests.values["shoulder:neer", "left"] == ("NT", "sling")


def test_going_to_another_joint_keeps_what_was_typed_as_a_draft(as_mara, url, sent):
    response = as_mara.post(url, sent(open="knee", **{f"{RIGHT}_active": "90"}))
    assert response.status_code == 302 and response["Location"].endswith("?joint=knee")
    marks = {each.id: each.marks for each in as_mara.get(response["Location"]).context["page"].choices}
    assert "not saved" in marks["shoulder"]
    back = as_mara.get(f"{url}?joint=shoulder")
    assert value(back, f"{RIGHT}_active") == "90"
    assert "was brought back" in main(back)
    assert not RangeReading.objects.exists()


def test_looking_at_another_joint_leaves_no_draft(as_mara, url, sent, joint_recorded):
    joint_recorded("shoulder", {("shoulder_flexion", "right"): Taken(active=90, instrument="goniometer")})
    as_mara.post(url, sent(open="knee", instrument="goniometer", **{f"{RIGHT}_active": "90"}))
    assert not Draft.objects.exists()


def test_of_two_who_save_at_once_the_second_sees_both(as_mara, url, sent, joint_recorded, blank):
    said = sent(**{f"{RIGHT}_active": "150", "instrument": "goniometer", "shoulder_neer_left": "positive"})
    theirs = Taken(active=120, instrument="goniometer", hurts="yes")
    both = {("shoulder_flexion", "right"): theirs, ("shoulder_extension", "left"): Taken(hurts="no")}
    joint_recorded("shoulder", both, {("shoulder:neer", "left"): ("negative", "")})
    response = as_mara.post(url, said)
    assert response.status_code == 409
    rows = {where: (now, yours) for where, now, yours in response.context["page"].clashes}
    assert rows["Shoulder, Flexion, right"] == (
        "active 120° (goniometer), painful",
        "active 150° (goniometer)",
    )
    assert rows["Shoulder, Neer, left"] == ("negative", "positive")
    assert value(response, f"{RIGHT}_active") == "150"
    again = {"state": response.context["page"].typed.state, **{k: v for k, v in said.items() if k != "state"}}
    assert as_mara.post(url, again).status_code == 302
    assert joint_of(blank, "shoulder").readings["shoulder_flexion", "right"].active == 150


def test_a_signed_visit_is_read_only(blank, as_mara, url, sent, joint_recorded):
    joint_recorded("shoulder", {("shoulder_flexion", "right"): Taken(active=90, instrument="goniometer")})
    said = sent(**{f"{RIGHT}_active": "150", "instrument": "goniometer"})
    blank.signed_at = blank.started_at
    blank.save()
    text = main(as_mara.get(url))
    assert "data-draft" not in text and 'name="instrument"' not in text
    assert "active 90° (goniometer)" in text
    assert as_mara.post(url, said).status_code == 403


def test_a_manager_reads_and_another_practice_finds_nothing(as_vera, as_ines, url):
    assert 'name="instrument"' not in main(as_vera.get(url))
    assert as_ines.get(url).status_code == 404


def test_an_unknown_joint_shows_one_that_is_known(as_mara, url):
    assert as_mara.get(f"{url}?joint=tail").context["page"].joint.id == "neck"
