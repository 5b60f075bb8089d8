"""Signed drawings are counted at signing; those of before are counted afterwards, any number of times."""

import io

import pytest
from django.core.exceptions import PermissionDenied
from django.core.management import call_command

from bodymaps import coarse, parts
from charting.drawing.cells import keep_cells, without_cells
from charting.drawing.models import DrawnCells
from charting.notes.services import sign
from charting.review import services
from charting.review.queries import to_fill_in
from charting.visits.models import Visit
from tests.charting import recorded
from tests.charting.people import signed_in


@pytest.fixture
def visit(anna, mara):
    return recorded.whole_visit(anna, mara)


def rows(visit):
    found = DrawnCells.objects.filter(visit=visit).values_list("view", "kind", "cells")
    return {(view, kind): bytes(cells) for view, kind, cells in found}


def test_a_signature_counts_the_drawing(visit, mara):
    assert not rows(visit)
    sign(who=mara, visit=visit, password=recorded.PASSWORD, read=recorded.as_read(visit))
    told = rows(visit)
    assert {("front", "ache"), ("front", "tingling"), ("back", "pressure")} <= set(told)
    named = {parts.KEYS[number] for number in coarse.read(told[coarse.PARTS, coarse.ANY_KIND])}
    assert {"shoulder right", "neck"} <= named
    assert not to_fill_in(mara).exists()


def test_drawings_of_before_are_counted_afterwards_and_twice_is_once(visit, mara):
    Visit.objects.filter(pk=visit.pk).update(signed_at=visit.started_at)
    assert list(to_fill_in(mara)) == [visit]
    assert services.fill_in(who=mara) == 1
    once = rows(visit)
    assert services.fill_in(who=mara) == 0
    keep_cells([visit])
    assert rows(visit) == once != {}


def test_an_open_visit_is_not_counted(visit, mara):
    assert services.fill_in(who=mara) == 0 and not rows(visit)


def test_a_visit_without_a_drawing_is_done_too(anna, mara):
    bare = Visit.objects.create(patient=anna, clinician=mara)
    Visit.objects.filter(pk=bare.pk).update(signed_at=bare.started_at)
    assert services.fill_in(who=mara) == 1
    assert rows(bare) == {(coarse.PARTS, coarse.ANY_KIND): b""}
    assert not without_cells(Visit.objects.all()).exists()


def test_cells_of_another_figure_are_made_again(visit, mara):
    Visit.objects.filter(pk=visit.pk).update(signed_at=visit.started_at)
    services.fill_in(who=mara)
    right = rows(visit)
    DrawnCells.objects.update(figure="another figure", cells=b"")
    assert services.fill_in(who=mara) == 1 and rows(visit) == right


def test_the_button_counts_them(visit, mara):
    Visit.objects.filter(pk=visit.pk).update(signed_at=visit.started_at)
    client = signed_in(mara)
    assert "1 signed drawing is not on the map yet" in client.get("/review/").content.decode()
    page = client.post("/review/fill/", follow=True).content.decode()
    assert "1 more drawing counted." in page and "not on the map yet" not in page


def test_the_desk_may_not(visit, poll, ines):
    Visit.objects.filter(pk=visit.pk).update(signed_at=visit.started_at)
    with pytest.raises(PermissionDenied):
        services.fill_in(who=poll)
    assert services.fill_in(who=ines) == 0 and not rows(visit)


def test_the_command_counts_all_practices(visit, ines):
    Visit.objects.filter(pk=visit.pk).update(signed_at=visit.started_at)
    other = Visit.objects.create(patient=recorded.patient(ines.practice, 7), clinician=ines)
    Visit.objects.filter(pk=other.pk).update(signed_at=other.started_at)
    said = io.StringIO()
    call_command("count_drawings", stdout=said)
    assert said.getvalue().strip() == "2 drawings counted."
