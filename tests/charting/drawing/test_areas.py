"""What was said finds the area it belongs to, whatever becomes of the strokes. Worked out by hand."""

from math import hypot

import pytest

from bodymaps import geometry
from bodymaps.areas import Decision
from bodymaps.strokes import Point, Stroke
from charting.drawing import badges
from charting.drawing.areas import Told, contradicts, facts, told
from charting.drawing.queries import Drawing, Said
from charting.drawing.symptoms import Answers

# Patches of the chest and the belly, 200 mm apart: far beyond what is put together by itself.
HIGH, LOW, LOWEST = (450, 400), (450, 600), (450, 800)


def line(name: str, seq: int, at: tuple[int, int], kind: str = "ache", **others) -> Stroke:
    """60 mm to the right of `at`, 30 mm wide."""
    x, y = at
    points = tuple(Point(x + step, y, 0.5, step) for step in range(0, 61, 10))
    made = {
        "view": "front",
        "kind": kind,
        "mode": "shade",
        "nib_mm": 30,
        "points": points,
        "layer": "patient",
    }
    return Stroke(**{"id": name, "seq": seq, **made, **others})


def read(*strokes: Stroke, said=(), decisions=(), cleared=(), intensities=None) -> Told:
    return told(
        Drawing(
            strokes=strokes,
            drawn_by=("patient",),
            intensities=intensities or {},
            no_pain=False,
            decisions=tuple(decisions),
            said=tuple(said),
            cleared=tuple(cleared),
        )
    )


def say(*strokes: str, **answers) -> Said:
    return Said(strokes, Answers(**answers))


A, B, C = line("a", 1, HIGH), line("b", 2, LOW, "burning"), line("c", 3, LOWEST)


def test_an_answer_belongs_to_the_area_of_its_first_stroke_that_stands():
    rubbed = line("a", 1, HIGH)
    gone = line("e", 9, HIGH, None, mode="erase", nib_mm=60)
    found = read(rubbed, B, gone, said=[say("a", "b", now={"burning": 4})])
    (only,) = found.areas
    assert (only.strokes, only.answers.now) == (("b",), {"burning": 4})


def test_the_latest_answer_counts_as_a_whole():
    said = [say("a", now={"ache": 8}, depth="deep"), say("a", now={"ache": 3}, course="varies")]
    (one,) = read(A, said=said).areas
    assert one.answers == Answers(now={"ache": 3}, course="varies")


def test_a_strength_of_a_kind_that_is_no_longer_drawn_is_left_out():
    (one,) = read(A, said=[say("a", now={"ache": 5, "burning": 9})]).areas
    assert one.answers.now == {"ache": 5}


def test_the_strength_of_a_kind_is_the_strongest_over_the_areas():
    said = [say("a", now={"ache": 3}), say("c", now={"ache": 7}), say("b", now={"burning": 2})]
    assert read(A, B, C, said=said).strengths == {"ache": 7, "burning": 2}


def test_what_an_older_board_asked_counts_where_no_area_tells():
    found = read(A, B, said=[say("a", now={"ache": 3})], intensities={"ache": 9, "burning": 6})
    assert found.strengths == {"ache": 3, "burning": 6}


def test_what_was_put_together_keeps_what_was_said_of_each_and_the_latest_of_the_rest():
    said = [say("a", now={"ache": 6}, least=2, since="days"), say("b", now={"burning": 4}, least=1)]
    (one,) = read(A, B, said=said, decisions=[Decision(5, "d", ("a", "b"), True)]).areas
    assert one.answers == Answers(now={"ache": 6, "burning": 4}, least=1)


def test_an_answer_taken_back_does_not_come_back_from_an_older_one():
    said = [say("a", now={"ache": 6}), say("a", now={})]
    (one,) = read(A, said=said).areas
    assert one.answers.now == {}


def test_splitting_and_putting_together_again_loses_nothing():
    said = [say("a", "b", now={"ache": 6, "burning": 4}, depth="deep")]
    together = Decision(5, "d", ("a", "b"), True)
    apart = Decision(6, "e", ("b",), False)
    again = Decision(7, "f", ("a", "b"), True)
    one, two = read(A, B, said=said, decisions=[together, apart]).areas
    assert (one.answers.depth, two.answers.is_empty) == ("deep", True)
    (whole,) = read(A, B, said=said, decisions=[together, apart, again]).areas
    assert whole.answers == said[0].answers


def test_a_link_follows_the_other_area_to_its_new_number():
    said = [say("c", link="after", link_to=("b",))]
    *_, last = read(A, B, C, said=said).areas
    assert (last.number, last.linked) == (3, 2)
    *_, last = read(B, C, said=said).areas
    assert (last.number, last.linked) == (2, 1)


def test_a_link_to_what_is_now_the_same_area_is_none():
    said = [say("a", link="together", link_to=("b",))]
    (one,) = read(A, B, said=said, decisions=[Decision(5, "d", ("a", "b"), True)]).areas
    assert (one.answers.link, one.linked) == ("", None)


def test_a_part_that_is_drawn_on_is_not_free():
    assert read(A, cleared=("chest", "knee left")).cleared == ("knee left",)


def test_findings_of_the_clinician_are_no_area():
    found = read(line("f", 1, HIGH, "tender_spot", layer="clinician"), cleared=("chest",))
    assert (found.areas, len(found.findings), found.cleared) == ((), 1, ("chest",))


def test_it_reads_as_the_chart_does():
    said = [
        say("a", least=1, most=8, course="constant", depth="both", since="6 weeks", link="alone"),
        say("b", most=5, link="together", link_to=("a",)),
    ]
    one, two, three = read(A, B, C, said=said).areas
    assert facts(one, 3) == (
        "at its least 1 of 10, at its most 8 of 10",
        "constant",
        "deep and at the surface",
        "since when: 6 weeks",
        "independent of the other areas",
    )
    assert facts(two, 3) == ("at its most 5 of 10", "comes and goes with area 1")
    assert facts(three, 3) == ()
    assert facts(one, 2)[-1] == "independent of the other area"


@pytest.mark.parametrize(
    ("least", "now", "most", "wrong"),
    [
        (2, {"ache": 6}, 8, False),
        (6, {"ache": 6}, 6, False),
        (7, {"ache": 6}, 8, True),
        (2, {"ache": 9}, 8, True),
        (5, {"ache": 2, "burning": 6}, None, False),
        (7, {}, 3, True),
        (None, {}, None, False),
        (0, {"ache": 0}, 0, False),
    ],
)
def test_it_notices_numbers_that_contradict_each_other(least, now, most, wrong):
    assert contradicts(Answers(least=least, now=now, most=most)) is wrong


def place(badge: badges.Badge) -> tuple[float, float]:
    return float(badge.x), float(badge.y)


def test_a_number_stands_inside_an_area_it_does_not_hide():
    large = [line(f"l{row}", row, (420, 400 + 25 * row)) for row in range(1, 6)]
    found = read(*large)
    (badge,) = badges.on_view("front", found.areas)
    assert geometry.holds_point(found.areas[0].marks[0].area, *place(badge))
    assert badge.line == ""


def test_a_number_stands_beside_an_area_it_would_hide_with_a_line_to_it():
    dot = line("dot", 1, HIGH, points=(Point(450, 400, 0.5, 0), Point(460, 400, 0.5, 10)))
    found = read(dot)
    (badge,) = badges.on_view("front", found.areas)
    disc = geometry.paint_line([place(badge)], 2 * badges.RADIUS)
    assert geometry.overlap(disc, found.areas[0].marks[0].area).is_empty
    x, y = (float(number) for number in badge.line.split("L")[1].split())
    assert geometry.holds_point(found.areas[0].marks[0].area, x, y)


def test_no_number_lies_on_another():
    crowd = [line(f"p{n}", n, (400 + 60 * (n % 3), 400 + 48 * (n // 3))) for n in range(1, 7)]
    short = [Stroke(**{**vars(one), "points": one.points[:2], "nib_mm": 20}) for one in crowd]
    found = badges.on_view("front", read(*short).areas)
    assert len(found) == 6
    gaps = [
        hypot(place(a)[0] - place(b)[0], place(a)[1] - place(b)[1])
        for i, a in enumerate(found)
        for b in found[i + 1 :]
    ]
    assert min(gaps) >= 2 * badges.RADIUS
