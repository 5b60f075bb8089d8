"""Two drawings laid over each other, against hand arithmetic, counted pixels and published values.

Jaccard: two 24-cell rectangles that share 12 cells, 12/36 = 0.3333 (Jaccard P, New Phytol 1912;11:37-50; our
arithmetic). Spread of redraws: Leoni D et al., conference abstract, 2013 (repository.supsi.ch/2403), checked:
0.62 ± 0.18.
"""

import pytest
from hypothesis import given
from hypothesis import strategies as some
from PIL import Image, ImageChops, ImageDraw

from bodymaps import compare_words, extent, geometry, words
from bodymaps.compare import Compared, compare
from bodymaps.marks import Mark
from tests.bodymaps import drawn, toy

# A square centimetre is a cell. All of it lies on the back of the trunk, away from its edges.
LEFT, TOP = 440.0, 400.0


def cells(left: int, top: int, wide: int, high: int, view: str = "back", kind: str = "ache") -> Mark:
    x, y = LEFT + 10 * left, TOP + 10 * top
    return Mark(view, kind, geometry.box(x, y, x + 10 * wide, y + 10 * high))


def sizes(found: Compared) -> list[float]:
    change = found.change
    parts = (change.before, change.after, change.gone, change.new, change.unchanged)
    return [round(part.cm2, 6) for part in parts]


# What is counted.


def test_two_rectangles_of_24_cells_that_share_12_are_a_third_alike():
    found = compare([cells(0, 0, 6, 4)], [cells(3, 0, 6, 4)])
    assert sizes(found) == [24, 24, 12, 12, 12]
    assert found.likeness.jaccard == pytest.approx(12 / 36)
    assert found.change.gone_share == found.change.new_share == pytest.approx(0.5)


def test_both_views_count_together_by_their_area():
    """4 of 4 cells shared behind, 0 of 8 in front: 4 / 12, not the mean of 1 and 0."""
    before, after = [cells(0, 0, 2, 2)], [cells(0, 0, 2, 2), cells(0, 0, 4, 2, "front")]
    assert compare(before, after).likeness.jaccard == pytest.approx(4 / 12)


def test_what_is_seen_is_what_pixels_say():
    """Two irregular shapes, filled and counted by Pillow."""
    first = [(455, 420), (560, 430), (530, 560), (470, 520)]
    second = [(480, 440), (600, 470), (540, 600), (500, 480)]
    found = compare(*([Mark("back", "ache", geometry.area_from_rings([ring]))] for ring in (first, second)))
    before, after = _filled(first), _filled(second)
    both = ImageChops.darker(before, after)
    counted = [_count(one) for one in (before, after)]
    shared = _count(both)
    assert sizes(found) == pytest.approx(
        [*counted, counted[0] - shared, counted[1] - shared, shared], rel=0.005
    )


# Pixels to a millimetre, and the corner of the picture (mm): Pillow fills the pixels of the edge too.
FINE, CORNER = 8, (440, 410)


def _filled(ring: list[tuple[int, int]]) -> Image.Image:
    image = Image.new("L", (200 * FINE, 200 * FINE))
    places = [(FINE * (x - CORNER[0]) - 0.5, FINE * (y - CORNER[1]) - 0.5) for x, y in ring]
    ImageDraw.Draw(image).polygon(places, fill=255)
    return image


def _count(image: Image.Image) -> float:
    """cm²"""
    return image.histogram()[255] / FINE**2 / 100


def test_skin_that_both_views_show_counts_once():
    """The strip of the toy body: 300 mm² in front before, the very same skin behind after."""
    front = Mark("front", "ache", geometry.box(200, 0, 230, 10))
    behind = Mark("back", "ache", geometry.mirrored(front.area, 500))
    moved = compare([front], [behind], skin=toy.SKIN)
    assert sizes(moved) == [3, 3, 0, 0, 3] and moved.likeness.jaccard == pytest.approx(1)
    twice = compare([front, behind], [], skin=toy.SKIN)
    assert sizes(twice) == [3, 0, 3, 0, 0]


def test_each_view_shows_what_was_drawn_on_it():
    front = Mark("front", "ache", geometry.box(200, 0, 230, 10))
    behind = Mark("back", "ache", geometry.mirrored(front.area, 500))
    found = {view.view: view for view in compare([front], [behind], skin=toy.SKIN).views}
    assert [round(found[view].unchanged.area) for view in ("front", "back")] == [300, 300]
    assert found["front"].gone.is_empty and found["back"].new.is_empty


def test_percent_is_that_of_the_extent_and_persons_have_their_own_cm2():
    before = drawn.marks(back__scapula_body=0.8, front__thigh_anterior_upper=0.5)
    after = drawn.marks(back__scapula_body=0.4)
    found = compare(before, after, 180, 80).change
    assert found.before.percent == pytest.approx(extent.extent(before).percent)
    assert found.after.percent == pytest.approx(extent.extent(after).percent)
    assert found.gone.percent + found.unchanged.percent == pytest.approx(found.before.percent)
    # Mosteller: 180 cm and 80 kg have exactly 2 m².
    assert found.gone.person_cm2["mosteller"] == pytest.approx(found.gone.percent * 200)
    assert compare(before, after).change.gone.person_cm2 is None


def test_slivers_are_left_out_of_the_picture_but_not_of_the_numbers():
    """A strip of 60 x 0.3 mm is 0.18 cm²."""
    wide = Mark("back", "ache", geometry.box(440, 400, 500, 440))
    narrow = Mark("back", "ache", geometry.box(440, 400.3, 500, 440))
    found = compare([wide], [narrow])
    assert found.change.gone.cm2 == pytest.approx(0.18)
    assert all(view.gone.is_empty for view in found.views)


def test_findings_of_an_examination_are_no_pain():
    less = Mark("back", "less_feeling", geometry.box(440, 400, 500, 440))
    assert less.is_finding
    with_, without = compare([cells(0, 0, 6, 4), less], []), compare([cells(0, 0, 6, 4)], [])
    assert sizes(with_) == sizes(without)


# Kinds and regions.


def test_each_kind_is_told_for_itself():
    before = [cells(0, 0, 4, 4), cells(4, 0, 2, 2, kind="burning"), cells(0, 6, 3, 3, kind="numbness")]
    after = [
        cells(4, 0, 1, 2, kind="burning"),
        cells(0, 0, 4, 4, kind="tingling"),
        cells(0, 6, 3, 3, kind="numbness"),
    ]
    found = {one.kind: one for one in compare(before, after).kinds}
    assert {kind: one.state for kind, one in found.items()} == {
        "ache": "gone",
        "burning": "smaller",
        "numbness": "as large",
        "tingling": "new",
    }
    assert found["ache"].words == "Ache: gone, 16 cm² before."
    assert found["burning"].words == "Burning: smaller, 4 cm² before and 2 cm² now."
    assert found["tingling"].words == "Tingling: new, 16 cm² now."


def test_kinds_that_lie_apart_add_up_to_the_whole():
    """On skin that both views show too: the strip of the toy body, in front before and behind after."""
    strip = geometry.box(200, 0, 230, 10)
    before = [Mark("front", "ache", strip), Mark("front", "burning", geometry.box(300, 0, 340, 10))]
    after = [Mark("back", "ache", geometry.mirrored(strip, 500)), Mark("front", "ache", strip)]
    found = compare(before, after, skin=toy.SKIN)
    ache, burning = found.kinds
    assert [round(size, 6) for size in (ache.gone, ache.new, ache.unchanged)] == [0, 0, 3]
    assert [round(size, 6) for size in (burning.gone, burning.new, burning.unchanged)] == [4, 0, 0]
    assert sizes(found) == [7, 3, 4, 0, 3]


def test_another_kind_on_the_same_skin_is_unchanged_skin():
    found = compare([cells(0, 0, 4, 4)], [cells(0, 0, 4, 4, kind="tingling")])
    assert sizes(found) == [16, 16, 0, 0, 16]


def test_regions_that_lost_and_gained_pain_are_named():
    before = drawn.marks(back__calf_central=0.7, back__sacrum=0.8)
    after = drawn.marks(back__sacrum=0.7, front__thigh_anterior_upper=0.6)
    found = compare(before, after)
    assert found.lost == (words.region_on("back:calf_central", "right"),)
    assert found.gained == (words.region_on("front:thigh_anterior_upper", "right"),)


# Beside the redraws of a study.


@pytest.mark.parametrize(("shared", "z"), [(62, 0.0), (44, -1.0), (80, 1.0), (98, 2.0)])
def test_it_says_how_far_from_the_mean_of_redraws_a_pair_lies(shared, z):
    """Strips of 100 mm of which `shared` are in both: J = shared / 100."""
    before = Mark("back", "ache", geometry.box(440, 400, 540, 410))
    after = Mark("back", "ache", geometry.box(440, 400, 440 + shared, 410))
    found = compare([before], [after]).likeness
    assert found.jaccard == pytest.approx(shared / 100)
    assert found.spread_z == pytest.approx(z)
    assert "0.62 ± 0.18" in found.words and compare_words.ONLY_THAT in found.words
    assert "Leoni" in found.source


def test_without_two_drawings_there_is_no_score():
    one = [cells(0, 0, 2, 2)]
    empty, gone, new = compare([], []), compare(one, []), compare([], one)
    assert all(found.likeness.jaccard is None for found in (empty, gone, new))
    assert [found.likeness.words for found in (empty, gone, new)] == [
        compare_words.EMPTY,
        compare_words.ONLY_BEFORE,
        compare_words.ONLY_AFTER,
    ]
    assert sizes(empty) == [0, 0, 0, 0, 0] and not empty.kinds and not empty.limbs
    assert empty.change.gone_share is None and gone.change.gone_share == 1


# What must hold of any pair.

BOXES = some.lists(
    some.tuples(some.integers(0, 10), some.integers(0, 10), some.integers(1, 5), some.integers(1, 5)),
    min_size=1,
    max_size=4,
)


def _marks(boxes: list[tuple[int, int, int, int]]) -> list[Mark]:
    return [Mark("back", "ache", geometry.unite(cells(*box).area for box in boxes))]


def _squares(boxes: list[tuple[int, int, int, int]]) -> set[tuple[int, int]]:
    return {(left + x, top + y) for left, top, wide, high in boxes for x in range(wide) for y in range(high)}


@given(BOXES, BOXES)
def test_any_boxes_count_as_their_squares_do(first, second):
    one, other = _squares(first), _squares(second)
    found = compare(_marks(first), _marks(second))
    wanted = [len(one), len(other), len(one - other), len(other - one), len(one & other)]
    assert sizes(found) == pytest.approx(wanted)
    assert found.likeness.jaccard == pytest.approx(len(one & other) / len(one | other))


PAIRS = (
    (drawn.marks(back__sacrum=0.9, back__calf_lateral=0.6), drawn.marks(back__sacrum=0.5, front__groin=0.5)),
    (
        drawn.marks(front__arm_lateral=0.9, back__suprascapular=0.7),
        drawn.marks("tingling", back__arm_lateral=0.8, front__thumb_palmar=0.9),
    ),
)


@pytest.mark.parametrize(("before", "after"), PAIRS)
def test_the_other_way_round_gone_is_new(before, after):
    there, back = compare(before, after), compare(after, before)
    assert there.change.gone == back.change.new and there.change.new == back.change.gone
    assert there.change.unchanged.cm2 == pytest.approx(back.change.unchanged.cm2)
    assert there.likeness.jaccard == pytest.approx(back.likeness.jaccard)
    assert there.lost == back.gained and there.gained == back.lost


def _mirrored(marks: tuple[Mark, ...]) -> list[Mark]:
    return [Mark(mark.view, mark.kind, geometry.mirrored(mark.area, 500)) for mark in marks]


@pytest.mark.parametrize(("before", "after"), PAIRS)
def test_mirrored_it_says_the_same_of_the_other_side(before, after):
    plain = compare(before, after)
    mirrored = compare(_mirrored(before), _mirrored(after))
    assert sizes(mirrored) == pytest.approx(sizes(plain), rel=0.005)
    right, left = plain.sides
    other_right, other_left = mirrored.sides
    assert [other_left.direction, other_right.direction] == [right.direction, left.direction]
    assert other_left.before.mean == pytest.approx(right.before.mean, rel=0.005)
    assert [one.direction for one in mirrored.limbs] == [one.direction for one in plain.limbs]
    assert {one.side for one in mirrored.limbs} == {"left"} and {one.side for one in plain.limbs} == {"right"}


@pytest.mark.parametrize(("before", "after"), PAIRS)
def test_the_parts_lie_apart_and_make_up_both_drawings(before, after):
    for view in compare(before, after).views:
        parts = (view.gone, view.new, view.unchanged)
        whole = geometry.unite([m.area for m in (*before, *after) if m.view == view.view])
        assert geometry.unite(parts).area == pytest.approx(whole.area, rel=0.01)
        assert geometry.overlap(view.gone, view.new).area < 0.01


def test_laid_over_itself_nothing_has_changed():
    before = drawn.marks(back__sacrum=0.9, back__calf_lateral=0.6)
    found = compare(before, before)
    assert found.likeness.jaccard == pytest.approx(1)
    assert found.change.gone.cm2 == found.change.new.cm2 == 0
    assert [one.direction for one in found.sides] == ["neither", "neither"]
    assert not found.lost and not found.gained
