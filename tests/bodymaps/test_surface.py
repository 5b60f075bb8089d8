"""Body surface shares against the adult column of the chart.

Lund CC, Browder NC. The estimation of areas of burns. Surg Gynecol Obstet 1944;79:352-8; the 101 % misprint:
Lundin K, Alsbjoern B. Burns 2013;39:819-20.
"""

from __future__ import annotations

from copy import deepcopy
from dataclasses import dataclass, replace

import pytest
import shapely

from bodymaps import geometry, regions, surface
from bodymaps.making.surface import shared_out

# Percent, both sides, whole region: adult column of the chart.
CHART = {
    "head": 7,
    "neck": 2,
    "trunk": 26,
    "buttocks": 5,
    "genitalia": 1,
    "upper_arms": 8,
    "forearms": 6,
    "hands": 5,
    "thighs": 19,
    "lower_legs": 14,
    "feet": 7,
}


@dataclass(frozen=True)
class Drawn:
    view: str
    area: shapely.MultiPolygon
    kind: str = "ache"


def filled(*wanted: str, side: str | None = None) -> list[Drawn]:
    return [Drawn(r.view, r.area) for r in regions.load() if r.id in wanted and side in (None, r.side)]


def of_chart(chart: str, face: str) -> list[str]:
    return [one.id for one in regions.names() if one.chart == chart and one.id.startswith(face)]


def chart_table() -> dict[str, dict[str, int]]:
    table: dict[str, dict[str, int]] = {name: {"front": 0, "back": 0} for name in CHART}
    for one in surface.shares().values():
        table[one.chart][one.face] += one.units
    return table


def test_a_finding_covers_nothing():
    assert surface.share([Drawn(r.view, r.area, "tender_spot") for r in regions.load()]) == 0


def test_the_whole_body_is_exactly_a_hundred_percent():
    units = [one.units for one in surface.shares().values()]
    assert sum(units) == 1_000_000
    assert all(isinstance(unit, int) and unit > 0 for unit in units)


def test_front_is_48_and_back_52_percent():
    table = chart_table()
    assert sum(area["front"] for area in table.values()) == 480_000
    assert sum(area["back"] for area in table.values()) == 520_000


@pytest.mark.parametrize(("name", "percent"), CHART.items())
def test_each_chart_area_has_its_share(name, percent):
    assert sum(chart_table()[name].values()) == percent * 10_000


def test_a_hand_is_one_and_a_quarter_percent_a_face():
    assert chart_table()["hands"] == {"front": 25_000, "back": 25_000}


def test_the_perineum_behind_is_part_of_the_buttocks_and_the_genitalia_lie_in_front():
    shares = surface.shares()
    assert shares["back:perineum_anal", "midline"].chart == "buttocks"
    assert chart_table()["genitalia"] == {"front": 10_000, "back": 0}
    assert shares["back:heel_plantar", "right"].chart == "feet"


def test_it_refuses_the_misprint_that_adds_up_to_101():
    table = deepcopy(chart_table())
    table["hands"] = {"front": 30_000, "back": 30_000}
    with pytest.raises(surface.SurfaceError, match="1.25 %"):
        surface.checked_table(table)


def test_it_refuses_a_table_that_moves_skin_from_front_to_back():
    table = deepcopy(chart_table())
    table["head"] = {"front": 34_000, "back": 36_000}
    with pytest.raises(surface.SurfaceError):
        surface.checked_table(table)


def test_it_refuses_shares_that_miss_a_region_or_do_not_add_up():
    shares, table = dict(surface.shares()), chart_table()
    surface.check_shares(shares, table)
    one = shares["front:temple", "right"]
    with pytest.raises(surface.SurfaceError, match="temple"):
        surface.check_shares({key: s for key, s in shares.items() if s is not one}, table)
    with pytest.raises(surface.SurfaceError, match="head"):
        surface.check_shares({**shares, (one.region, one.side): replace(one, units=one.units + 1)}, table)


def test_right_and_left_are_worth_the_same():
    shares = surface.shares()
    assert all(s.units == shares[name, "left"].units for (name, side), s in shares.items() if side == "right")


def test_the_back_of_neck_arm_and_forearm_are_four_and_a_half_percent():
    """Neck 1 + right upper arm 2 + right forearm 1.5, straight from the chart."""
    drawing = [
        *filled(*of_chart("neck", "back")),
        *filled(*of_chart("upper_arms", "back"), side="right"),
        *filled(*of_chart("forearms", "back"), side="right"),
    ]
    assert surface.share(drawing) == pytest.approx(4.5, abs=0.001)


def test_half_the_back_of_the_trunk_is_six_and_a_half_percent():
    drawing = [
        replace(one, area=geometry.overlap(one.area, geometry.box(500, 0, 1000, 1700)))
        for one in filled(*of_chart("trunk", "back"))
    ]
    assert surface.share(drawing) == pytest.approx(6.5, abs=0.001)


def test_skin_under_two_kinds_counts_once():
    palm = filled("front:palm_central", side="right")
    twice = [*palm, *(replace(one, kind="burning") for one in palm)]
    assert surface.share(twice) == pytest.approx(surface.share(palm))


def test_nothing_drawn_is_nothing():
    assert surface.share([]) == 0


def test_the_largest_remainder_gets_what_rounding_leaves():
    assert shared_out(10, [5.0, 3.0, 2.4], [1, 1, 1]) == [5, 3, 2]
    assert shared_out(9, [2.0, 1.1], [2, 1]) == [4, 1]


def test_sharing_out_refuses_an_odd_unit_for_pairs():
    with pytest.raises(surface.SurfaceError):
        shared_out(9, [1.0, 1.0], [2, 2])
