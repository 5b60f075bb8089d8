"""Findings stand on the figure where their site lies, with their number and a sign for what was found."""

import re
from itertools import combinations
from math import hypot

import pytest
from django.template.loader import render_to_string

from bodymaps import atlas, own
from bodymaps.own import OwnPattern
from bodymaps.patterns import Source
from bodymaps.reasoning import felt
from bodymaps.reasoning.felt import Felt
from charting.examination.placed import key_to, on_view, placed

KNOWN = atlas.load()
THREE = {"band": "yes", "spot": "yes", "referral": "yes"}
AS_FOUND = {
    felt.ACTIVE: {**THREE, "recognised": "yes"},
    felt.LATENT: {**THREE, "recognised": "no"},
    felt.INCOMPLETE: {**THREE, "referral": "NT"},
    felt.TENDER_SPOT: {"band": "no", "spot": "yes", "referral": "no"},
    felt.NOT_MET: {"band": "no", "spot": "no", "referral": "no"},
    felt.NOTHING: {},
}


def test_a_finding_stands_at_its_site_and_on_the_left_in_the_mirror():
    site = KNOWN.muscles["infraspinatus"].sites[0]
    right, left = placed([Felt("infraspinatus", side, site.id) for side in ("right", "left")], KNOWN)
    assert (right.view, float(right.x), float(right.y)) == ("back", site.at.x, site.at.y)
    assert float(left.x) == pytest.approx(2 * KNOWN.midlines["back"] - site.at.x, abs=0.06)
    assert (right.number, left.number) == (1, 2)


def test_numbers_never_stand_on_each_other_and_lead_back_to_their_site():
    marks = placed([Felt("infraspinatus", "right", "")] * 6, KNOWN)
    assert [mark.line != "" for mark in marks] == [False, *[True] * 5]
    for one, other in combinations(marks, 2):
        gap = hypot(float(one.x) - float(other.x), float(one.y) - float(other.y))
        assert gap >= float(one.radius) + float(other.radius)


def test_what_the_atlas_does_not_hold_keeps_its_number_to_itself():
    marks = placed(
        [Felt("own_gone", "right"), Felt("infraspinatus", "right", "gone"), Felt("masseter", "left")], KNOWN
    )
    assert [mark.number for mark in marks] == [3]


@pytest.mark.parametrize("site", ["", "own", KNOWN.muscles["infraspinatus"].sites[0].id])
def test_a_pattern_of_the_practice_that_names_no_place_leaves_the_muscle_where_it_lies(site):
    lies = KNOWN.muscles["infraspinatus"].sites[0]
    source = Source("A course of our own", "day 2", "from memory")
    drawn = OwnPattern("infraspinatus", "", 1, "", source, "Seen often here.", dict(lies.zones))
    for known in (KNOWN, own.applied(KNOWN, [drawn])):
        (mark,) = placed([Felt("infraspinatus", "right", site)], known)
        assert (mark.view, float(mark.x), float(mark.y)) == (lies.at.view, lies.at.x, lies.at.y)


def test_each_result_has_a_sign_of_its_own_without_colour_or_class():
    found = [Felt("infraspinatus", "right", "", signs) for signs in AS_FOUND.values()]
    marks = placed(found, KNOWN)
    assert [mark.result for mark in marks] == list(AS_FOUND)
    drawn = [render_to_string("examination/_placed.svg", {"marks": [mark]}) for mark in marks]
    assert all("class=" not in each and "style=" not in each for each in drawn)
    signs = [re.search(r"<(circle|rect)[^>]*>", each)[0].replace("#6b7278", "#101418") for each in drawn]
    assert len(set(signs)) == len(AS_FOUND)
    assert [result for result, _ in key_to(marks)] == list(felt.RESULTS)


def test_a_view_shows_only_its_own():
    marks = placed([Felt("infraspinatus", "right"), Felt("masseter", "left")], KNOWN)
    assert [mark.number for mark in on_view(marks, "back")] == [1]
    assert [mark.number for mark in on_view(marks, "front")] == [2]
    assert "Masseter, left" in marks[1].words
