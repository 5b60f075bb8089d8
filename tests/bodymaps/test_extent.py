"""How far a drawing reaches, held against published formulas and worked examples.

- body surface: Mosteller RD, N Engl J Med 1987;317:1098; Du Bois D, Du Bois EF, Arch Intern Med
  1916;17:863-871
- shares of the surface: Lund CC, Browder NC, Surg Gynecol Obstet 1944;79:352-8
- 19 sites and 5 parts: Wolfe F et al., Semin Arthritis Rheum 2016;46:319-329
- widespread by area: Wolfe F et al., Arthritis Rheum 1990;33:160-172, and Wolfe F et al., 2019 (WP2019)
"""

import pytest

from bodymaps import extent, geometry, kinds, reach, regions, surface
from bodymaps.extent import BodySurface, SizeError
from bodymaps.marks import Mark
from tests.bodymaps import drawn

SITES = {one.label: one for one in reach.sites() if one.listed}


def whole(*region_ids: str, side: str | None = None, kind: str = "ache") -> list[Mark]:
    return [
        Mark(one.view, kind, geometry.as_area(one.area))
        for one in regions.load()
        if one.id in region_ids and side in (None, one.side)
    ]


def of_chart(chart: str, face: str) -> list[str]:
    return [one.id for one in regions.names() if one.chart == chart and one.id.startswith(face)]


def at(*labels: str, count: int = 1) -> list[Mark]:
    """The inner 60 % of the largest region of each site, as somebody shades it who means that site."""
    found = []
    for label in labels:
        site = SITES[label]
        inside = [
            one for one in regions.load() if site.holds(one.id, one.side) and site.side in ("", one.side)
        ]
        for one in sorted(inside, key=lambda one: -one.area.area)[:count]:
            side = one.side if one.side != "midline" else "right"
            found.append(Mark(one.view, "ache", drawn.part(one.id, side, 0.6)))
    return found


def reached(*labels: str) -> reach.Reach:
    return extent.extent(at(*labels)).reach


# Body surface.


@pytest.mark.parametrize(
    ("height", "weight", "du_bois", "mosteller"),
    [
        (170, 70, 1.8097, 1.8181),
        (180, 80, 1.9964, 2.0000),
        (165, 60, 1.6587, 1.6583),
        (160, 90, 1.9271, 2.0000),
    ],
)
def test_the_body_surface_is_what_the_formulas_give(height, weight, du_bois, mosteller):
    body = BodySurface.of(height, weight)
    assert round(body.du_bois, 4) == du_bois
    assert round(body.mosteller, 4) == mosteller


def test_it_does_not_repeat_a_misprint():
    """A table in wide use prints 1.9979 for 180 cm and 80 kg by Du Bois; the formula gives 1.9964."""
    assert abs(BodySurface.of(180, 80).du_bois - 1.9979) > 0.001


def test_half_a_percent_of_an_average_person_is_91_cm2():
    """170 cm, 70 kg: 0.5 % (a palm) is 90.9 cm², 0.87 % (a hand) 158.2 cm²; Rhodes J et al., Br J Dermatol
    2013;169:76-84 for the percentages."""
    body = BodySurface.of(170, 70)
    assert round(body.cm2(0.5)["mosteller"], 1) == 90.9
    assert round(body.cm2(0.87)["mosteller"], 1) == 158.2


@pytest.mark.parametrize(("height", "weight", "named"), [(17, 70, "height"), (170, 700, "weight")])
def test_it_refuses_a_size_nobody_has(height, weight, named):
    with pytest.raises(SizeError, match=named):
        extent.extent([], height, weight)
    for bad in (float("nan"), float("inf"), -1):
        with pytest.raises(SizeError):
            BodySurface.of(bad, 70)


def test_without_both_height_and_weight_there_are_no_cm2():
    marks = whole("back:neck_posterior")
    for sizes in ((None, None), (170, None), (None, 70)):
        found = extent.extent(marks, *sizes)
        assert found.cm2 is None
        assert found.as_json()["cm2"] is None
        assert found.percent > 0


# Percent of the surface.


def test_neck_arm_and_forearm_behind_are_four_and_a_half_percent_and_half_the_back_makes_it_eleven():
    """Back of the neck 1 + right upper arm behind 2 + right forearm behind 1.5 = 4.5; with half of the back
    of the trunk (13) 11.0."""
    marks = [
        *whole(*of_chart("neck", "back")),
        *whole(*of_chart("upper_arms", "back"), side="right"),
        *whole(*of_chart("forearms", "back"), side="right"),
    ]
    found = extent.extent(marks, 170, 70)
    assert found.percent == pytest.approx(4.5, abs=0.001)
    assert dict(found.by_view) == {"front": 0, "back": pytest.approx(4.5, abs=0.001)}
    assert found.cm2["mosteller"] == pytest.approx(0.045 * 18181, abs=1)
    half = geometry.box(500, 0, 1000, 1700)
    trunk = [
        Mark(one.view, one.kind, geometry.overlap(one.area, half))
        for one in whole(*of_chart("trunk", "back"))
    ]
    assert extent.extent([*marks, *trunk]).percent == pytest.approx(11.0, abs=0.001)


def test_the_views_add_up_to_all():
    marks = whole("front:sternal", "back:sacrum", "front:arm_lateral")
    found = extent.extent(marks)
    assert found.percent == pytest.approx(surface.share(marks))
    assert sum(percent for _, percent in found.by_view) == pytest.approx(found.percent)


def test_findings_count_nowhere():
    everywhere = [mark for kind in kinds.FINDINGS for mark in whole(*regions_of_body(), kind=kind)]
    found = extent.extent(everywhere).as_json()
    assert found["percent"] == 0
    assert found["regions"] == 0
    assert found["sites"]["count"] == 0
    assert not any(found["area_of_widespread_pain"].values())


def test_nothing_drawn_reaches_nowhere():
    found = extent.extent([]).as_json()
    assert (found["percent"], found["regions"], found["quadrants"], found["axial"]) == (0, 0, [], False)


def regions_of_body() -> set[str]:
    return {one.id for one in regions.load()}


# Regions and quadrants.


def test_skin_that_both_views_show_is_one_region():
    both = whole("front:arm_lateral", "back:arm_lateral", side="right")
    assert len(both) == 2
    assert extent.extent(both).reach.regions == 1


def test_ink_that_strays_over_a_border_touches_no_region_and_a_small_spot_in_a_large_one_does():
    thigh = drawn.region("front:thigh_anterior_upper")
    x, y = geometry.inner_place(thigh)
    spot = geometry.paint_line([(x, y)], 20)
    assert spot.area < 0.1 * thigh.area
    assert extent.extent([Mark("front", "ache", spot)]).reach.regions == 1
    strayed = geometry.widen(drawn.region("back:scapula_body"), 3)
    assert extent.extent([Mark("back", "ache", strayed)]).reach.regions == 1


def test_each_limb_is_a_quadrant_and_the_trunk_is_axial():
    assert reached("right lower arm").quadrants == ("upper right",)
    assert reached("left hip and buttock").quadrants == ("lower left",)
    low_back = reached("lower back")
    assert (low_back.quadrants, low_back.axial) == ((), True)
    hand = extent.extent(whole("front:palm_central", side="left")).reach
    assert (hand.quadrants, hand.axial, hand.sites) == (("upper left",), False, ())
    assert [one.label for one in hand.beside] == ["left hand"]


# The sites of 2016.


def test_there_are_nineteen_sites_four_four_three_three_and_five():
    parts = [one.part for one in SITES.values()]
    assert len(SITES) == 19
    assert [parts.count(part) for part in (*reach.QUADRANTS, reach.AXIAL)] == [4, 4, 3, 3, 5]
    counted = [one.part for one in SITES.values() if one.to_parts]
    assert [counted.count(part) for part in (*reach.QUADRANTS, reach.AXIAL)] == [3] * 5


def test_jaw_chest_and_abdomen_are_the_sites_left_out_of_the_parts():
    assert {one.id for one in SITES.values() if not one.to_parts} == {"jaw", "chest", "abdomen"}


@pytest.mark.parametrize("label", SITES)
def test_each_site_is_found_where_it_is_drawn_and_alone(label):
    assert [one.label for one in reached(label).sites] == [label]


def test_the_whole_body_is_nineteen_sites_in_five_parts():
    found = extent.extent(whole(*regions_of_body())).reach
    assert (len(found.sites), found.counted, len(found.parts)) == (19, 15, 5)
    assert found.acr_1990
    assert found.generalised_2016
    assert found.wp_2019


def test_eight_sites_in_three_parts_are_not_generalised():
    """Both jaws, chest and abdomen + neck, two sites of the left arm and one of the left leg: 8 sites, but
    left upper, left lower and axial are 3 parts."""
    found = reached(
        "right jaw",
        "left jaw",
        "chest",
        "abdomen",
        "neck",
        "left upper arm",
        "left lower arm",
        "left upper leg",
    )
    assert len(found.sites) == 8
    assert found.parts == ("upper left", "lower left", "axial")
    assert not found.generalised_2016
    assert len(found.flagged) == 4


def test_three_sites_can_be_widespread_by_1990_and_are_not_by_2019():
    """Neck, left elbow and right knee."""
    marks = [
        *whole("back:neck_posterior"),
        *whole("back:elbow_posterior", side="left"),
        *whole("front:knee_anterior", side="right"),
    ]
    found = extent.extent(marks).reach
    assert len(found.sites) == 3
    assert found.acr_1990
    assert not found.wp_2019


def test_shoulder_other_buttock_and_upper_back_qualify_by_1990_as_its_authors_say():
    assert reached("right shoulder girdle", "left hip and buttock", "upper back").acr_1990


@pytest.mark.parametrize(
    "labels",
    [
        ("neck", "right upper arm", "right upper leg"),  # one side
        ("neck", "right upper arm", "left upper arm"),  # nothing below
        ("lower back", "right upper leg", "left upper leg"),  # nothing above: low back counts as below
        ("right upper arm", "left upper leg"),  # not axial
        ("abdomen", "right upper arm", "left upper leg"),  # the abdomen is not the axial skeleton
    ],
)
def test_1990_is_not_met_without_one_of_its_parts(labels):
    assert not reached(*labels).acr_1990


def test_low_back_pain_is_the_lower_half_and_neck_pain_the_upper():
    assert reached("lower back", "right upper arm", "left lower arm").acr_1990
    assert reached("neck", "right upper leg", "left lower leg").acr_1990


def test_2019_needs_four_parts_and_seven_sites():
    four_parts = ["neck", "right upper arm", "left upper arm", "right upper leg"]
    six = [*four_parts, "right lower leg", "right lower arm"]
    assert reached(*six).generalised_2016
    assert not reached(*six).wp_2019
    assert not reached(*six, "chest", "abdomen", "left jaw").wp_2019
    assert reached(*six, "upper back").wp_2019
    three_parts = ["upper back", "lower back", "neck", "right upper arm", "right lower arm"]
    assert not reached(*three_parts, "right upper leg", "right lower leg", "right hip and buttock").wp_2019


def test_asking_for_2019_alone_gives_the_same():
    for labels in (["neck"], list(SITES), list(SITES)[::2], list(SITES)[1::2], list(SITES)[:12]):
        marks = at(*labels)
        skin = extent.skins.load()
        by_view = {
            view: geometry.unite(mark.area for mark in marks if mark.view == view)
            for view in ("front", "back")
        }
        covered = {patch: area.area for patch, area in skin.cut(by_view).items()}
        expected = reach.of(marks, skin).wp_2019
        assert reach.is_widespread(marks, skin) == expected
        assert reach.is_widespread(marks, skin, covered) == expected


def test_it_says_that_duration_is_asked_elsewhere():
    assert "elsewhere" in extent.extent([]).as_json()["note"]


def test_every_region_of_the_figure_has_one_place_and_a_table_that_forgets_one_is_refused(
    monkeypatch, tmp_path
):
    text = reach.FILE.read_text()
    for bad, named in (
        (text.replace('"front:sternal", ', ""), "front:sternal"),
        (text.replace('["front:jaw_mandible"', '["front:sternal", "front:jaw_mandible"'), "two sites"),
        (text.replace('"front:sternal"', '"front:no_such_place"'), "no_such_place|sternal"),
    ):
        assert bad != text
        (tmp_path / "extent.toml").write_text(bad)
        monkeypatch.setattr(reach, "FILE", tmp_path / "extent.toml")
        with pytest.raises(reach.ReachError, match=named):
            reach.tables.__wrapped__()
