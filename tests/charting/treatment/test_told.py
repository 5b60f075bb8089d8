"""An entry in words: the same sentence for page, note and progress."""

import json

import pytest

from bodymaps import atlas
from charting.treatment.models import TreatmentEntry
from charting.treatment.queries import minutes_in
from charting.treatment.told import as_data, in_words, told
from tests.charting.recorded import NEEDLES


def entry(technique, place="infraspinatus.right", **more):
    muscle, side, *site = place.split(".")
    return TreatmentEntry(technique=technique, muscle=muscle, side=side, site="".join(site), **more)


def words(*said, **more):
    return in_words(entry(*said, **more), atlas.load())


def test_needling_says_the_needle_the_way_the_counts_and_what_it_did():
    more = {"twitch": "yes", "pain_before": 6, "pain_after": 3, "minutes": 4}
    way = {**NEEDLES, "direction": "medially and up"}
    assert words("needling", needles=way, **more) == (
        "Infraspinatus, right: dry needling, 0.25 × 40 mm to 20 mm, medially and up, 3 in, 3 out; "
        "twitch; pain 6 to 3; 4 minutes"
    )


def test_needles_that_are_still_in_are_said_so():
    needles = {"gauge_mm": 0.3, "length_mm": 50, "depth_mm": None, "direction": "", "count_in": 2}
    assert words("needling", needles=needles).endswith("0.30 × 50 mm, 2 in, not counted out yet")
    assert told(entry("needling", needles=needles), atlas.load()).counts == "to count"


@pytest.mark.parametrize(
    ("technique", "dose", "said"),
    [
        (
            "pressure",
            {"seconds": 60, "repetitions": 3, "strength": "bearable"},
            "manual pressure, 60 s held, 3 times, as strong as was bearable",
        ),
        ("heat", {"kind": "moist_pack", "felt": "warm"}, "heat, moist pack, felt comfortably warm"),
        (
            "exercise",
            {"which": "Wall slide", "sets": 2, "load": "5 kg"},
            "exercise, Wall slide, 2 sets, load 5 kg",
        ),
        ("education", {"topics": ["found", "load"]}, "education, what was found, load and rest"),
    ],
)
def test_each_technique_says_its_dose_in_the_order_it_is_asked(technique, dose, said):
    assert words(technique, dose=dose) == f"Infraspinatus, right: {said}"


def test_pain_is_said_as_far_as_it_was_asked():
    assert words("stretch", pain_before=5).endswith("pain 5 before")
    assert words("stretch", pain_after=0).endswith("pain 0 after")
    assert words("stretch", twitch="NT", minutes=1).endswith("twitch not looked for; 1 minute")


def test_a_place_an_area_and_the_whole_person_are_named():
    known = atlas.load()
    site = known.muscles["infraspinatus"].sites[0]
    assert told(entry("stretch", f"infraspinatus.right.{site.id}"), known).site == site.where
    area = TreatmentEntry(technique="heat", area="low_back", dose={"kind": "mud"})
    assert in_words(area, known) == "Low back: heat, mud pack"
    whole = TreatmentEntry(technique="education", dose={"topics": ["sleep"]})
    assert in_words(whole, known).startswith("The person as a whole: education")


def test_what_is_offered_no_more_is_still_said():
    row = TreatmentEntry(technique="old_way", muscle="gone_muscle", side="left", dose={"how_far": 3})
    assert in_words(row, atlas.load()) == "Gone muscle, left: old way, how far: 3"


def test_the_data_for_paper_is_plain():
    data = as_data(entry("needling", needles=NEEDLES, minutes=4, remark="Sore."), atlas.load())
    assert json.loads(json.dumps(data)) == data
    assert data["technique_id"] == "needling" and data["counts"] == "equal" and data["remark"] == "Sore."


def test_minutes_add_up_for_each_timed_technique():
    rows = [
        entry("stretch", minutes=5),
        entry("pressure", minutes=8),
        entry("stretch", minutes=7),
        entry("heat"),
    ]
    assert minutes_in(rows) == {"pressure": 8, "stretch": 12}
    assert list(minutes_in(rows)) == ["pressure", "stretch"]
