"""The row of small pictures: one for each visit, told in words as well, read at once."""

import pytest
from django.db import connection
from django.template.loader import render_to_string
from django.test.utils import CaptureQueriesContext

from charting.progress.small_drawings import small_drawings
from charting.visits.models import Visit
from tests.charting import recorded


@pytest.fixture
def two(anna, mara):
    drawn, empty = (Visit.objects.create(patient=anna, clinician=mara) for _ in range(2))
    recorded.draw(drawn, recorded.SHOULDER_ACHE, recorded.CALF_BURNING)
    return drawn, empty


def test_each_visit_has_its_picture_in_the_order_given(two):
    drawn, empty = two
    first, second = small_drawings([empty, drawn])
    assert [first.visit, second.visit] == [empty.pk, drawn.pk]
    assert not first.is_told and first.words == "Nothing is drawn."
    assert [[len(view.areas) for view in one.views] for one in (first, second)] == [[0, 0], [1, 1]]
    assert "right shoulder" in second.words and "Burning" in second.words and second.percent > 0


def test_a_picture_is_small(two):
    picture = render_to_string("progress/_small_drawing.svg", {"small": small_drawings(two)[0]})
    assert len(picture) < 5_000
    assert picture.count("<path") == 4 and 'role="img"' in picture


def test_a_hundred_take_no_more_queries_than_one(two, anna, mara):
    with CaptureQueriesContext(connection) as few:
        small_drawings(two[:1])
    more = [Visit.objects.create(patient=anna, clinician=mara) for _ in range(100)]
    with CaptureQueriesContext(connection) as many:
        assert len(small_drawings([*two, *more])) == 102
    assert len(many) == len(few)
