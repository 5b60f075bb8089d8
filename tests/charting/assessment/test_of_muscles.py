"""What the hand felt, in a sentence. The criteria: Fernández-de-las-Peñas & Dommerholt, Pain Med
2018;19:142-50 (two of three signs: from memory; active is what brings on the pain that the patient knows).
"""

from bodymaps.reasoning.felt import Felt, Pressure
from charting.assessment.of_danger import of_gaps
from charting.assessment.of_muscles import of_muscles
from tests.charting.assessment.records import ACTIVE, record


def said(*felt):
    return [(made.about, made.text) for made in of_muscles(record(*felt))]


def test_it_says_an_active_trigger_point_with_its_count_and_whose_pain_it_is():
    ((about, text),) = said(Felt("infraspinatus", "left", "", ACTIVE))
    assert about == "source"
    assert text == "Infraspinatus, left: active trigger point, 3 of 3, pain known to the patient (palpation)."


def test_it_never_says_of_a_latent_one_that_its_pain_is_known():
    ((about, text),) = said(Felt("infraspinatus", "left", "", {**ACTIVE, "recognised": "no"}))
    assert about == "source"
    assert "latent trigger point" in text
    assert "known" not in text


def test_it_says_of_no_trigger_point_what_was_missing_and_counts_it_against():
    nothing = {"band": "no", "spot": "no", "referral": "no", "recognised": "no"}
    ((about, text),) = said(Felt("infraspinatus", "left", "", nothing))
    assert about == "ruled_out"
    assert "taut band not felt; sensitive spot none" in text


def test_it_leaves_open_what_was_not_tested():
    ((about, text),) = said(Felt("infraspinatus", "left", "", {**ACTIVE, "band": "NT"}))
    assert about == "open"
    assert "not tested: taut band" in text


def test_it_adds_other_signs_pain_and_pressure_that_were_recorded():
    signs = {**ACTIVE, "twitch": "yes", "stretch_pain": "yes", "strength": "4"}
    found = Felt("scalenus_medius", "right", "upper", signs, 7, Pressure("kPa", (210.0, 230.0), 1.0))
    ((_, text),) = said(found)
    assert text.startswith("Scalenus medius (upper), right: ")
    for part in ("local twitch", "painful to stretch", "strength 4 of 5", "pain on pressing 7 of 10"):
        assert part in text
    assert "pressure pain threshold 220 kPa, mean of 2" in text


def test_it_lists_what_stands_on_the_list_and_was_not_palpated():
    (made, *_) = of_gaps(record(unexamined=(Felt("infraspinatus", "left"),)))
    assert (made.about, made.text) == ("open", "Infraspinatus, left: on the list, not palpated.")
