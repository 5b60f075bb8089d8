"""Side and site of a code against the drawing, what was found and what was concluded."""

import pytest

from charting.coding import sides, sites, table
from charting.coding.cautions import cautions_of
from charting.coding.evidence import Evidence
from charting.coding.offers import offers

NECK, SHOULDER, BACK = ("neck", "left"), ("shoulder", "left"), ("low_back", "midline")
SPLENIUS = ("muscle", "splenius_capitis", "left")
INFRASPINATUS = ("muscle", "infraspinatus", "left")
UPPER_TRAPEZIUS = ("muscle", "trapezius_upper", "left")


def entry(code):
    found = table.load().entry(code)
    assert found, code
    return found


def said(code, *drawn, named=()):
    return [each.words for each in cautions_of(entry(code), Evidence(frozenset(drawn), frozenset(named)))]


def better(code, *drawn, named=()):
    found = cautions_of(entry(code), Evidence(frozenset(drawn), frozenset(named)))
    return [one.code for each in found for one in each.better]


def test_nothing_on_record_cautions_against_nothing():
    assert said("M79.12") == said("M25.511") == said("M79.10") == []


# The site trap of the reference, checked against the titles of the list: neck M79.12, other places M79.18.
def test_neck_muscles_have_a_code_of_their_own():
    assert better("M79.18", NECK) == ["M79.12"]
    assert better("M79.18", NECK, named=[SPLENIUS]) == ["M79.12"]
    assert better("M79.12", SHOULDER, named=[INFRASPINATUS]) == ["M79.18"]
    assert said("M79.12", NECK) == said("M79.18", SHOULDER) == []


def test_what_the_hand_found_counts_before_the_drawing():
    """Pain drawn at the neck that comes from a muscle of the shoulder blade is no myalgia of the neck."""
    assert better("M79.12", NECK, named=[INFRASPINATUS]) == ["M79.18"]
    assert said("M79.18", NECK, named=[INFRASPINATUS]) == []


def test_a_muscle_between_neck_and_shoulder_goes_with_either():
    assert said("M79.12", NECK, named=[UPPER_TRAPEZIUS]) == []
    assert said("M79.18", NECK, named=[UPPER_TRAPEZIUS]) == []


def test_one_that_says_no_site_names_those_on_record():
    assert better("M79.10", SHOULDER) == ["M79.18"]
    assert better("M79.10", NECK, SHOULDER) == ["M79.12", "M79.18"]


def test_the_side_is_held_against_what_is_there():
    assert better("M25.511", SHOULDER) == ["M25.512"]
    assert said("M25.512", SHOULDER) == []
    assert better("M25.519", SHOULDER) == ["M25.512"]
    assert said("M25.511", SHOULDER, ("shoulder", "right")) == []
    assert better("M26.623", ("face", "right")) == ["M26.621"]
    assert better("M26.621", ("face", "right"), ("face", "left")) == []


def test_a_side_elsewhere_does_not_count_for_the_place_of_the_code():
    assert said("M25.511", ("shoulder", "right"), ("knee", "left")) == []
    assert "is for the shoulder" in said("M25.511", ("knee", "left"))[0]


def test_roots_that_are_concluded_speak_before_the_drawing():
    c6 = ("root", "C6", "right")
    assert said("M54.12", NECK, named=[c6]) == []
    assert better("M54.16", NECK, named=[c6]) == ["M54.12"]
    assert better("M54.10", named=[c6]) == ["M54.12"]


def test_skin_over_the_midline_has_no_side():
    assert said("M54.50", BACK) == [] and said("M54.31", BACK) == []


@pytest.mark.parametrize(
    ("code", "side"),
    [
        ("M25.511", {"right"}),
        ("M54.32", {"left"}),
        ("M26.623", {"right", "left"}),
        ("M79.601", {"right"}),
        ("S43.401A", {"right"}),
        ("G56.03", {"right", "left"}),
        ("M79.18", set()),
        ("M54.30", set()),
        # Titles with a left that is no choice.
        ("I50.1", set()),
        ("K35.80", set()),
    ],
)
def test_the_side_is_read_from_the_title(code, side):
    """Titles of the tabular list."""
    assert sides.sides_of(entry(code)) == side


def test_every_code_of_a_sided_pair_names_the_other():
    """Every code of muscles, nerves and injuries whose title says right has its mirror beside it, and the
    mirror it.
    """
    known = table.load()
    seen = 0
    for row in range(known.rows):
        one = known.at(row)
        if known.is_code(row) and one.billable and one.code[0] in "MG" and sides.sides_of(one) == {"right"}:
            for other in sides.on_sides(one, frozenset({"left"})):
                assert one in sides.on_sides(other, frozenset({"right"})), one.code
                seen += 1
    assert seen > 800


def test_what_is_offered_goes_with_the_record_and_its_side():
    listed = offers(Evidence(frozenset({NECK, SHOULDER}), frozenset({SPLENIUS})))
    codes = [one.code for offer in listed for one in (offer.hit.entry, *offer.hit.below)]
    assert codes[0] == "M79.12" and "M25.512" in codes and "M54.2" in codes
    assert "M25.511" not in codes and "M79.18" not in codes and "M54.50" not in codes
    assert offers(Evidence()) == ()


def test_what_is_offered_can_be_billed():
    everything = Evidence(
        frozenset((part, "right") for site in sites.load() for part in site.parts),
        frozenset((layer, id_, "right") for site in sites.load() for layer, id_ in site.sources),
    )
    for offer in offers(everything):
        assert offer.hit.entry.billable or all(one.billable for one in offer.hit.below)
        assert offer.because


@pytest.mark.parametrize(
    ("broken", "words"),
    [
        ({"codes": ["M99.99"]}, "sites.toml: site M99.99: M99.99 is no code"),
        ({"parts": ["nose"]}, "part: nose is not known"),
        ({"muscles": ["nose"]}, "muscles: nose is not known"),
        ({"groups": ["nose"]}, "group: nose is not known"),
        ({"where": ""}, "where is missing"),
        ({"status": "sure"}, "status must be one of"),
        ({"offer": "always"}, "offer must be one of"),
        ({"parts": []}, "parts are needed"),
    ],
)
def test_a_file_of_sites_that_cannot_be_used_says_what_to_mend(broken, words):
    entry_ = {"codes": ["M54.2"], "where": "the neck", "parts": ["neck"], "source": "x", "status": "checked"}
    with pytest.raises(sites.SitesError, match=words):
        sites.read({"site": [{**entry_, **broken}]}, table.load(), "sites.toml")


def test_a_code_has_one_site():
    entry_ = {"codes": ["M54.2"], "where": "the neck", "parts": ["neck"], "source": "x", "status": "checked"}
    with pytest.raises(sites.SitesError, match="M54.2 has two sites"):
        sites.read({"site": [entry_, entry_]}, table.load())


def test_pain_of_the_neck_alone_offers_no_headache():
    codes = [offer.hit.entry.code for offer in offers(Evidence(frozenset({NECK})))]
    assert codes and not [code for code in codes if code.startswith(("G44", "R51"))]
    assert "R51" in [offer.hit.entry.code for offer in offers(Evidence(frozenset({("head", "left")})))]
