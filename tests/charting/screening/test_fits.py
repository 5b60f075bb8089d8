"""What fits stands beside the findings, with what does not fit, what is not tested, and the arithmetic."""

import pytest

WAINNER = {
    ("neck:spurling", "right"): "positive",
    ("neck:distraction", "right"): "positive",
    ("neck:rotation", "right"): ("45", "inclinometer"),
    ("tension:median", "right"): "positive",
}


@pytest.fixture
def reasoned(as_mara, url, found):
    def of(findings):
        found(findings)
        response = as_mara.get(url)
        return response.context["page"].reasoned, response.content.decode()

    return of


def test_nothing_is_said_while_nothing_is_on_record(as_mara, url):
    assert "What fits what is saved" not in as_mara.get(url).content.decode()


def test_a_weak_triceps_with_its_reflex_and_skin_fits_c7(reasoned):
    fits, page = reasoned(
        {("strength:C7", "left"): "4", ("reflex:triceps", "left"): "0", ("reflex:triceps", "right"): "2",
         ("touch:C7", "left"): "1", ("strength:C5", "left"): "5"}
    )  # fmt: skip
    best = fits.fits[0]
    assert (best.layer, best.id, best.side) == ("root", "C7", "left")
    assert "How well it fits" in page and "no probability" in page
    assert all(each in page for each in best.fits)


def test_all_four_of_a_cluster_carry_the_printed_ratio_and_its_arithmetic(reasoned):
    """Wainner 2003: four positive, ratio 30.3; 23 % before gives 90 % after."""
    told, page = reasoned(WAINNER)
    cluster = next(
        one.told for one in told.clusters if one.told.side == "right" and len(one.told.positive) == 4
    )
    assert cluster.lr == 30.3
    assert "30.3" in page and "90 %" in page and cluster.arithmetic in page.replace("&#x27;", "'")
    assert cluster.population in page.replace("&#x27;", "'")


def test_the_side_that_stands_out_comes_first(reasoned):
    left = {(key, "left" if side else side): value for (key, side), value in WAINNER.items()}
    told, page = reasoned({**left, ("neck:rotation", "right"): "70"})
    assert [one.told.side for one in told.clusters] == ["left", "right"]
    assert "At least 0" not in page


def test_the_clinicians_own_estimate_goes_before_that_of_the_study(reasoned):
    """10 % before, ratio 30.3: 77 % after."""
    _, page = reasoned({**WAINNER, ("pretest:radiculopathy", ""): "10"})
    assert "77 %" in page and "Your own estimate" in page


def test_what_is_not_tested_is_listed_and_no_ratio_is_given(reasoned):
    told, page = reasoned({**WAINNER, ("neck:distraction", "right"): ("NT", "dizzy")})
    cluster = next(one.told for one in told.clusters if one.told.side == "right")
    assert cluster.lr is None and cluster.not_tested
    assert "<dt>Not tested</dt><dd>Distraction" in page


def test_a_single_hoffmann_asks_to_look_for_more(reasoned):
    told, page = reasoned({("cord:hoffmann", "left"): "positive"})
    assert told.cord
    assert "A single one may be there in the healthy" in page


def test_it_suggests_and_never_says_what_somebody_has(reasoned):
    _, page = reasoned(WAINNER)
    fits = page[page.index('id="fits"') : page.index("data-neuro")].lower()
    assert "diagnos" not in fits
    assert " has " not in fits
