"""What refers here? Held against areas one can reckon by hand, and against every zone of the atlas."""

import random
from dataclasses import replace
from itertools import islice

import pytest
from shapely import Point

from bodymaps import atlas as atlases
from bodymaps import figure, geometry, regions, skin, where
from bodymaps.patterns import Source, Structure
from bodymaps.where import Holder
from tests.bodymaps import toy

BOX = geometry.box


def structure(name, layer, sides, zones):
    sources = (Source("an invented work", "1", "from memory"),)
    return Structure(name, name, layer, sides, (), (), (), (), False, "", sources, None, zones)


HEART = structure("heart", "visceral", "left", {("front", "core"): BOX(520, 0, 560, 40)})
NERVE = structure(
    "nerve",
    "peripheral_nerve",
    "paired",
    {("front", "core"): BOX(300, 0, 320, 50), ("front", "spillover"): BOX(320, 0, 360, 50)},
)
BLADDER = structure("bladder", "visceral", "midline", {("front", "spillover"): BOX(480, 0, 520, 50)})


@pytest.fixture(scope="module")
def small():
    """Two muscles, a root, a nerve and two organs among boxes; see tests/bodymaps/toy.py."""
    rare = {("front", "core"): BOX(300, 0, 400, 100), ("front", "spillover"): BOX(400, 0, 450, 100)}
    often = {("front", "core"): BOX(300, 0, 350, 100)}
    first, second = toy.muscle("alpha", rare), toy.muscle("beta", often, rare)
    first = replace(first, sites=(replace(first.sites[0], how_common="rare"),))
    made = toy.atlas(first, second, dermatomes=(toy.dermatome("C5", front=BOX(300, 0, 330, 100)),))
    layers = {"peripheral_nerve": {"nerve": NERVE}, "visceral": {"heart": HEART, "bladder": BLADDER}}
    return replace(made, structures=layers)


def test_it_lists_cores_before_spillovers_and_the_commoner_site_first(small):
    assert where.refers_here(small, "front", 310, 20) == (
        Holder("pattern", "beta", "right", "core", ("site1", "site2")),
        Holder("pattern", "alpha", "right", "core", ("site1",)),
        Holder("dermatome", "C5", "right", "skin"),
        Holder("peripheral_nerve", "nerve", "right", "core"),
    )
    assert where.refers_here(small, "front", 340, 20)[-1] == Holder(
        "peripheral_nerve", "nerve", "right", "spillover"
    )


def test_it_names_only_the_sites_whose_zone_is_here(small):
    assert where.refers_here(small, "front", 380, 20)[0] == Holder(
        "pattern", "beta", "right", "core", ("site2",)
    )


def test_it_mirrors_pairs_and_leaves_single_organs_where_they_lie(small):
    found = where.refers_here(small, "front", 530, 20)
    assert Holder("visceral", "heart", "left", "core") in found
    assert not any(one.id == "heart" for one in where.refers_here(small, "front", 470, 20))
    assert Holder("visceral", "bladder", "midline", "spillover") in where.refers_here(small, "front", 510, 20)
    assert {(one.id, one.side) for one in where.refers_here(small, "front", 690, 20)} == {
        (name, "left") for name in ("alpha", "beta", "C5", "nerve")
    }


def test_it_counts_the_edge_in_and_finds_nothing_beside_it(small):
    assert any(one.id == "alpha" for one in where.refers_here(small, "front", 450, 100))
    assert where.refers_here(small, "front", 450.1, 101) == ()
    assert where.refers_here(small, "back", 310, 20) == ()


def test_it_answers_exactly_what_the_mirrored_areas_say():
    """400 points on the real figure (fixed seed), each zone of each side asked by shapely itself."""
    known, dice = atlases.load(), random.Random(4)
    asked = 0
    for view in ("front", "back"):
        outline = figure.load().view(view).outline
        for x, y in points_in(outline, 200, dice):
            found = {(one.layer, one.id, one.side): one.zone for one in where.refers_here(known, view, x, y)}
            assert found == by_hand(known, view, Point(x, y))
            asked += bool(found)
    assert asked > 100


def points_in(outline, count, dice):
    """Points of the body and its soles, and some a little beside it."""
    left, top, right, bottom = outline.bounds
    near = outline.buffer(5)
    drawn = ((dice.uniform(left, right), dice.uniform(top, bottom)) for _ in range(100 * count))
    return islice(((x, y) for x, y in drawn if near.covers(Point(x, y))), count)


def by_hand(known, view, point):
    """The same by walking every zone of the atlas, mirrored for the left side."""
    held = [
        ("pattern", name, side, zone.zone, zone.area)
        for name in known.muscles
        for side in ("right", "left")
        for zone in known.zones(name, side)
        if zone.view == view
    ]
    held += [
        ("dermatome", root, side, "skin", area)
        for root in known.dermatomes
        for side in ("right", "left")
        for at, area in known.dermatome(root, side).items()
        if at == view
    ]
    held += [
        (layer, name, side, zone.zone, zone.area)
        for layer, found in known.structures.items()
        for name, one in found.items()
        for side in one.held_sides
        for zone in known.structure_zones(layer, name, side)
        if zone.view == view
    ]
    here = [(one[:3], one[3]) for one in held if one[4].covers(point)]
    return {key: "spillover" for key, zone in here if zone == "spillover"} | {
        key: zone for key, zone in here if zone != "spillover"
    }


def test_a_region_gives_what_its_points_give_and_not_what_only_overruns_its_border():
    known = atlases.load()
    patch = next(one for one in skin.load().patches if one.ids == ("front:shoulder_anterior",))
    found = {(one.layer, one.id, one.side) for one in where.refers_into(known, patch)}
    assert ("pattern", "infraspinatus", patch.side) in found
    region = next(one for one in regions.load() if one.id == patch.ids[0] and one.side == patch.side)
    x, y = geometry.inner_place(geometry.as_area(region.area))
    middle = {(one.layer, one.id, one.side) for one in where.refers_here(known, "front", x, y)}
    assert middle and middle <= found
    for layer, name, side in found:
        assert share_of_region(known, layer, name, side, region) > 0


def share_of_region(known, layer, name, side, region):
    if layer == "dermatome":
        areas = [known.dermatome(name, side)[region.view]]
    else:
        zones = known.zones(name, side) if layer == "pattern" else known.structure_zones(layer, name, side)
        areas = [zone.area for zone in zones if zone.view == region.view]
    return geometry.overlap(geometry.unite(areas), geometry.as_area(region.area)).area


def test_it_asks_about_skin_that_both_views_show_in_both():
    known = atlases.load()
    patch = next(one for one in skin.load().patches if len(one.ids) == 2 and "arm_lateral" in one.ids[0])
    assert where.refers_into(known, patch)


def test_a_sliver_beyond_a_border_is_not_felt_there(small):
    """Of the region 300..500 x 0..200 (40,000 mm²) a tenth is 4,000: a strip of 3,000 mm² does not count
    unless a quarter of its zone lies there.
    """
    test = where._touching(small, "front", BOX(300, 0, 500, 200))
    strip, small_zone = BOX(100, 0, 315, 200), BOX(200, 0, 400, 10)
    assert test([strip, small_zone, BOX(300, 0, 320, 200)], False) == [False, True, True]
