"""What was needled in spite of advice is said at once and before the visit is signed."""

import html

from bodymaps import atlas
from charting.treatment.gate_warnings import depth_warnings, warnings_of
from charting.treatment.queries import entries_of
from tests.charting import recorded
from tests.charting.recorded import NEEDLES


def needled(visit, place, **more):
    return recorded.treat(visit, "needling", place, needles={**NEEDLES, **more})


def test_a_needle_deeper_than_advised_is_named_with_the_figure(visit):
    """19 mm for the rhomboid major (Valera-Calero 2020); 20 mm reached a lung (2025)."""
    said = depth_warnings(needled(visit, "rhomboidei.right", depth_mm=20), atlas.load())
    assert len(said) == 2 and all(each.startswith("Rhomboid major and minor, right: 20 mm") for each in said)
    assert "19 mm" in said[0]


def test_a_depth_that_nobody_entered_or_that_is_within_advice_is_not(visit):
    for depth in (None, 19):
        assert depth_warnings(needled(visit, "rhomboidei.right", depth_mm=depth), atlas.load()) == ()


def test_both_sides_of_the_chest_are_named_for_the_visit(visit):
    needled(visit, "rhomboidei.right", depth_mm=15)
    assert warnings_of(visit, entries_of(visit)) == ()
    needled(visit, "levator_scapulae.left", depth_mm=15)
    assert warnings_of(visit, entries_of(visit)) == ("Both sides of the chest in one visit: needled.",)


def test_it_stands_beside_what_is_missing_before_signing(visit, as_mara):
    needled(visit, "rhomboidei.right", depth_mm=25)
    text = html.unescape(as_mara.get(f"/visits/{visit.pk}/note/").content.decode())
    assert "25 mm is deeper than published advice" in text


def test_who_records_such_a_depth_reads_it_at_once(agreed, as_mara):
    typed = {"place": "rhomboidei.right", "technique": "needling", "after": "0", "gauge_mm": "0.25"}
    needle = {"length_mm": "40", "depth_mm": "22", "direction": "flat", "count_in": "2"}
    answer = as_mara.post(f"/visits/{agreed.pk}/treatment/add/", {**typed, **needle}, follow=True)
    assert "22 mm is deeper than published advice" in html.unescape(answer.content.decode())
