"""The benchmark of the ranking: its drawings, its indices and a few of its numbers.

Floors stand clearly below what `make bench-ranking` prints; the benchmark itself is the measurement.
"""

from __future__ import annotations

import random
from statistics import mean

import pytest

from bodymaps import atlas, geometry, marks, matching, skin
from bodymaps.candidates import PATTERN
from bodymaps.geometry import box
from bodymaps.making import bits, plain, quality, redraw, trials
from bodymaps.marks import Mark
from tests.bodymaps import drawn, toy

# Patterns that stand well apart, from head to foot.
MUSCLES = ("temporalis", "infraspinatus", "extensor_carpi_radialis_longus", "soleus")


@pytest.fixture(scope="module")
def done() -> dict[str, list[trials.Trial]]:
    return {
        model: [trial for muscle in MUSCLES for trial in trials.muscle_trials(model, muscle, 6, 4)]
        for model in trials.MODELS
    }


# The indices. Worked values: two rectangles of 24 cells that share 12; a drawing of 6 cells in a zone of 24.


@pytest.mark.parametrize(
    ("metric", "halves", "inside"),
    [
        ("jaccard", 12 / 36, 0.25),
        ("dice", 24 / 48, 0.4),
        ("containment", 0.5, 1.0),
        ("coverage", 0.5, 0.25),
    ],
)
def test_the_plain_indices_have_their_worked_values(metric: str, halves: float, inside: float) -> None:
    assert plain.index(12, 24, 24, metric) == pytest.approx(halves)
    assert plain.index(6, 6, 24, metric) == pytest.approx(inside)


def test_the_plain_orders_are_those_of_the_indices() -> None:
    """Drawn: 100 x 100. biceps is twice the drawing and holds it; brachialis is half of it, all drawn."""
    wide = toy.muscle("biceps_brachii", {("front", "core"): box(300, 0, 400, 200)})
    small = toy.muscle("brachialis", {("front", "core"): box(300, 0, 340, 100)})
    held = toy.atlas(wide, small)
    ranking = matching.rank([toy.ache("front", box(300, 0, 400, 100))], held, skin=toy.SKIN)
    assert ranking.held is not None
    first = {metric: plain.order(ranking.held.whole, metric)[0][0] for metric in plain.PLAIN}
    assert first == {
        "jaccard": "biceps_brachii",  # 0.5 against 0.4
        "dice": "biceps_brachii",
        "containment": "biceps_brachii",  # 1 against 0.4
        "coverage": "brachialis",  # 1 against 0.5
    }


# The noise models.


def test_the_same_seed_gives_the_same_drawing() -> None:
    site = atlas.load().muscles["soleus"].sites[0]
    one, other = (redraw.redrawn(site.zones, random.Random(7)) for _ in range(2))
    assert [mark.area for mark in one] == [mark.area for mark in other]
    assert [mark.area for mark in one] != [mark.area for mark in redraw.redrawn(site.zones, random.Random(8))]


def test_a_drawing_stays_on_the_body() -> None:
    outlines = marks.body_outlines()
    for seed in range(10):
        site = atlas.load().muscles["trapezius_upper"].sites[0]
        for mark in redraw.redrawn(site.zones, random.Random(seed)):
            assert geometry.is_inside(mark.area, outlines[mark.view], slack=1)


def test_no_pain_is_no_drawing() -> None:
    assert redraw.redrawn({("front", "core"): geometry.EMPTY}, random.Random(1)) == []


def test_so_much_is_covered_as_was_asked_for() -> None:
    core, spillover = box(300, 400, 360, 500), box(360, 400, 420, 500)
    zones = {("front", "core"): core, ("front", "spillover"): spillover}
    for share in (0.0, 0.5, 1.0):
        felt = redraw.felt(zones, share)["front"].area
        assert felt == pytest.approx(core.area + share * spillover.area, rel=0.06)
    for share in (0.3, 0.6, 1.0):
        pain = redraw.covered({"front": core}, zones, share, random.Random(3))
        assert pain["front"].area == pytest.approx(share * core.area, rel=0.05)


def test_what_is_covered_has_core() -> None:
    site = atlas.load().muscles["infraspinatus"].sites[0]
    for seed in range(10):
        pain = redraw.patient(site.zones, random.Random(seed)).pain
        shared = [
            geometry.overlap(area, site.zones.get((view, "core"), geometry.EMPTY)).area
            for view, area in pain.items()
        ]
        assert sum(shared) > 0


def test_two_drawings_of_one_patient_are_as_alike_as_published(done: dict[str, list[trials.Trial]]) -> None:
    """Mean Jaccard 0.62, SD 0.18 (Leoni D et al., 2013); 16 pairs of drawings, whose mean has a
    standard error of 0.045: within some two and a half.
    """
    likeness = [trial.like_other for trial in done["bent"] if trial.like_other is not None]
    assert mean(likeness) == pytest.approx(0.62, abs=0.12)


def test_a_trial_is_harder_than_a_redraw(done: dict[str, list[trials.Trial]]) -> None:
    """A drawing is less like its pattern than two drawings of one patient are like each other."""
    for trials_ in done.values():
        assert mean(trial.like_pattern for trial in trials_) < 0.62


# Recovery.


def test_muscles_are_found_from_their_own_drawings(done: dict[str, list[trials.Trial]]) -> None:
    for trials_ in done.values():
        assert quality.recovery(trials_)["top3"] >= 0.85
        assert quality.recovery(trials_)["top1"] >= 0.6


def test_a_place_is_counted_from_one_and_nothing_is_nought() -> None:
    order = [("soleus", "right"), ("soleus", "left")]
    assert [trials.place((name, "left"), order) for name in ("soleus", "gracilis")] == [2, 0]


def test_recovery_counts_a_muscle_on_its_own_side_only() -> None:
    """Infraspinatus drawn on the left: the right one is no hit."""
    site = atlas.load().muscles["infraspinatus"].sites[0]
    zones = [Mark(view, "ache", area) for (view, zone), area in site.zones.items() if zone == "core"]
    order = trials.lines(trials.on_side(zones, "left"))[plain.SHIPPED]
    assert trials.place(("infraspinatus", "left"), order) <= 3
    assert trials.place(("infraspinatus", "right"), order) == 0


def test_pairs_are_fixed_and_of_neighbouring_body_parts() -> None:
    muscles = atlas.load().muscles
    found = trials.pairs(40)
    assert found == trials.pairs(40) and len(set(found)) == 40
    for first, second in found:
        assert muscles[second].group in trials.NEXT[muscles[first].group]


def test_every_body_part_has_a_neighbour() -> None:
    groups = {muscle.group for muscle in atlas.load().muscles.values()}
    assert groups <= set(trials.NEXT) | {one for others in trials.NEXT.values() for one in others}


def test_a_pair_far_apart_is_found_together() -> None:
    assert trials.pair_trial("bent", "temporalis", "soleus").told == 2


# Ways to count.


def test_packed_bits_give_the_scores_of_the_cells() -> None:
    index = matching.index(atlas.load(), skin.load())
    drawing: list[Mark] = list(drawn.marks(front__temple=0.8, back__shoulder_posterior=0.6))
    whole = matching.counted(drawing, index)
    assert whole is not None
    assert bits.masks(index).scores(drawing) == pytest.approx(whole.scores)
    assert any(one.layer == PATTERN for one in index.candidates)
