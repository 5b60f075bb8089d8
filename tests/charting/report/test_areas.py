"""Areas, layers, the worst spot and free parts in the note and on its paper."""

import pytest

from charting.drawing.services import save_events
from charting.handover.services import hand_over, save
from charting.report import pdf
from charting.report.content import assemble
from charting.report.ranked import MOST_OF_AREA
from charting.visits.models import Visit
from tests.charting import recorded
from tests.charting.report import printed


@pytest.fixture
def told(visit) -> Visit:
    """Three areas, the second answered; the worst spot; free parts; a finding of the clinician's own."""
    recorded.say_of_areas(
        visit,
        {2: {"now": {"tingling": 3}, "least": 1, "most": 7, "course": "comes_and_goes", "since": "6 weeks"}},
        link={2: ("after", 1)},
        cleared=["chest", "knee left"],
        spot=("front", "humeral_head"),
    )
    finding = recorded.stroke(40, "front", "less_feeling", ("thumb_base", "thumb_tip"), 14)
    save_events(who=visit.clinician, visit=visit, drawn_by="clinician", sent=[finding])
    return visit


@pytest.fixture
def content(told):
    return assemble(told)


def test_it_holds_each_area_with_its_number_words_and_answers(content):
    one, two, three = content["drawing"]["areas"]
    assert [area["number"] for area in (one, two, three)] == [1, 2, 3]
    assert "tingling 3 of 10" in two["words"]
    assert two["words"] == f"Area 2, {two['short']}"
    assert two["facts"] == [
        "at its least 1 of 10, at its most 7 of 10",
        "comes and goes",
        "since when: 6 weeks",
        "starts after area 1",
    ]
    assert (two["answers"]["most"], two["answers"]["link_to"]) == (7, 1)
    assert one["facts"] == three["facts"] == []


def test_it_tells_the_layers_apart(content):
    patient, clinician = content["drawing"]["layers"]
    assert (patient["title"], clinician["title"]) == ("The patient", "Findings of the clinician")
    assert any(sentence.startswith("Worst spot: ") for sentence in patient["sentences"])
    assert [sentence.split(" on testing")[0] for sentence in clinician["sentences"]] == ["Less feeling"]
    assert not any("Less feeling" in sentence for sentence in patient["sentences"])


def test_it_says_who_helped(visit):
    held, _ = hand_over(who=visit.clinician, visit=visit, drawn_by="helper", helper="daughter")
    line = recorded.stroke(50, "back", "burning", ("calf_mid", "achilles"), 20)
    save(held=held, sent=[line], waiting=1, who=held)
    helped = next(layer for layer in assemble(visit)["drawing"]["layers"] if layer["id"] == "helper")
    assert helped["helpers"] == ["daughter"]
    assert "Drawn for the patient by daughter" in " ".join(
        printed.pages(pdf.render(assemble(visit), paper="a4"))
    )


def test_it_ranks_the_whole_and_each_area(content):
    found = content["candidates"]
    assert set(found["explanation"]["sentences"]) <= set(found["together"])
    assert "of the drawing" in found["together"][0]
    assert [area["number"] for area in found["areas"]] == [1, 2, 3]
    assert all(len(area["lines"]) <= MOST_OF_AREA for area in found["areas"])
    assert "explains area 1" in " ".join(line["words"] for line in found["lines"])
    assert content["versions"]["explanation"].startswith("explain-")


def test_one_area_is_printed_without_parts(anna, mara):
    one = Visit.objects.create(patient=anna, clinician=mara)
    recorded.draw(one, recorded.SHOULDER_ACHE)
    recorded.answer_danger_screen(one)
    found = assemble(one)["candidates"]
    assert found["together"][0].startswith("Right infraspinatus alone explains")
    assert (found["areas"], found["explanation"]) == ([], None)
    assert "of the core zone" in found["lines"][0]["words"]


@pytest.mark.parametrize("paper", ["a4", "letter"])
def test_it_prints_all_of_it(content, paper):
    whole = " ".join(printed.pages(pdf.render(content, paper=paper)))
    for words in (
        "tingling 3 of 10",
        "starts after area 1",
        "Worst spot: ",
        "Nothing here: chest, left knee.",
        "Findings of the clinician",
        *(f"Area {number}, " for number in (1, 2, 3)),
        *content["candidates"]["together"],
        "On the page of the note, and not printed: each of 3 areas alone",
        "Tingling 3 of 10",
    ):
        assert words in whole, words


def test_it_numbers_the_areas_on_the_figures(content):
    """A number on each view where the area shows, and the lozenge of the worst spot once."""
    front, back = content["drawing"]["views"]
    assert [badge["number"] for badge in front["badges"]] == [1, 2]
    assert [badge["number"] for badge in back["badges"]] == [3]
    assert (len(front["spots"]), len(back["spots"])) == (1, 0)
