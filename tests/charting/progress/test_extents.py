"""How far a drawing reaches over time, beside how much two drawings of the same pain differ."""

import tomllib

import pytest

from charting.drawing.among import Painted, painted_among
from charting.progress import spread
from charting.progress.extents import extent_of, shown
from charting.visits.models import Visit
from tests.charting.progress import courses


def test_the_spread_is_that_of_the_published_limits_of_agreement():
    """Leoni 2013 (checked): limits -2710 to 1960 px, means 5888 and 6261: 2335 of 6074.5 is 38.4 %."""
    known = spread.of_extent()
    assert known.share == pytest.approx(2335 / 6074.5)
    assert not known.holds(5, 3) and known.holds(5, 4) and known.holds(0, 0)
    assert "38 % of their mean" in known.words and "checked" in known.words


@pytest.mark.parametrize(
    ("entry", "value", "words"),
    [
        ("apart", [1960], "apart: write two numbers"),
        ("apart", [1960, -2710], "rises"),
        ("means", [0, 0], "above 0"),
        ("source", " ", "source: say it in words"),
        ("status", "sure", "status: one of"),
        ("minutes", 0, "minutes: a whole number"),
    ],
)
def test_a_wrong_entry_is_named_with_what_to_mend(entry, value, words):
    data = tomllib.loads(spread.FILE.read_text())
    data["extent"][entry] = value
    with pytest.raises(spread.SpreadError, match=words):
        spread.read(data)


def test_it_is_told_of_visits_that_say_where_it_hurts_and_no_pain_counts_as_nothing(anna, mara):
    episode = courses.an_episode(anna, mara)
    first, last = courses.visits(episode, mara, (0, 30))
    silent = Visit.objects.create(patient=anna, clinician=mara)
    painted = dict(painted_among([first, last]))
    painted[silent.pk] = Painted((), 0, said_no_pain=False)
    found = extent_of([first, silent, last], painted)
    assert [value.visit for value in found.values] == [first.pk, last.pk]
    painted[silent.pk] = Painted((), 0, said_no_pain=True)
    found = extent_of([first, last, silent], painted)
    assert found.last.number == 0
    assert found.change.endswith(
        "to 0 % of the body surface: less (100 %). "
        "That is more than drawings of the same pain differ by themselves."
    )
    assert extent_of([silent], {silent.pk: Painted((), 0, False)}) is None


def test_what_is_drawn_is_never_printed_as_nothing():
    assert [shown(each) for each in (0, 0.001, 0.28, 4.5, 18)] == [
        "0 %",
        "under 0.01 %",
        "0.28 %",
        "4.5 %",
        "18.0 %",
    ]
