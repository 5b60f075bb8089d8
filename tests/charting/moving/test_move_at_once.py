"""Several people move the same drawing, or draw while it is moved: it ends in one place, whole."""

from concurrent.futures import ThreadPoolExecutor
from threading import Barrier

import pytest
from django.db import connection

from charting.drawing.models import EnteredInError, StoredStroke
from charting.drawing.queries import drawing_of
from charting.drawing.services import save_events
from charting.handover import services as handover
from charting.handover.models import HandOver
from charting.moving.services import NotMoved, move_drawing
from charting.visits.models import Visit
from tests.charting import recorded
from tests.charting.drawing.strokes import stroke

MOVERS = 4


@pytest.fixture
def here(transactional_db):
    return recorded.practice()


def visits(here, who, count):
    people = [recorded.patient(here, number=number) for number in range(1, count + 1)]
    return [Visit.objects.create(patient=person, clinician=who) for person in people]


def at_once(*acts):
    """All of them in threads of their own, begun at the same moment; what each gave or said."""
    start = Barrier(len(acts))

    def run(act):
        try:
            start.wait()
            return act()
        except NotMoved as problem:
            return str(problem)
        finally:
            connection.close()

    with ThreadPoolExecutor(len(acts)) as pool:
        return list(pool.map(run, acts))


@pytest.mark.django_db(transaction=True)
def test_only_one_of_many_moves_takes_the_drawing(here):
    mara = recorded.member(here, "mara")
    wrong, *others = visits(here, mara, MOVERS + 1)
    save_events(who=mara, visit=wrong, drawn_by="patient", sent=[stroke(n) for n in range(1, 6)])
    told = at_once(
        *[lambda to=to: move_drawing(who=mara, visit=wrong, to=to, reason="Wrong chart.") for to in others]
    )
    assert sum(isinstance(each, EnteredInError) for each in told) == 1
    assert sum("Somebody may have moved it already" in str(each) for each in told) == MOVERS - 1
    assert sorted(len(drawing_of(each).strokes) for each in (wrong, *others)) == [0, 0, 0, 0, 5]
    assert StoredStroke.objects.count() == 10


@pytest.mark.django_db(transaction=True)
def test_two_moves_across_each_other_do_not_block(here):
    mara = recorded.member(here, "mara")
    one, two = visits(here, mara, 2)
    for visit in (one, two):
        save_events(who=mara, visit=visit, drawn_by="patient", sent=[stroke(1)])
    told = at_once(
        lambda: move_drawing(who=mara, visit=one, to=two, reason="Wrong chart."),
        lambda: move_drawing(who=mara, visit=two, to=one, reason="Wrong chart."),
    )
    assert all(isinstance(each, EnteredInError) for each in told), told
    assert sorted(len(drawing_of(each).strokes) for each in (one, two)) == [0, 2]


@pytest.mark.django_db(transaction=True)
def test_what_a_device_sends_while_the_drawing_moves_never_stays_behind(here):
    mara = recorded.member(here, "mara")
    wrong, right = visits(here, mara, 2)
    held, _ = handover.hand_over(who=mara, visit=wrong)
    handover.save(held=held, sent=[stroke(1)], waiting=1, who=held)

    def draw():
        for number in range(2, 12):
            row = HandOver.objects.select_related("visit").get(pk=held.pk)
            handover.save(held=row, sent=[stroke(number, points=2)], waiting=1, who=row)
        return "drawn"

    told = at_once(draw, lambda: move_drawing(who=mara, visit=wrong, to=right, reason="Wrong chart."))
    assert told[0] == "drawn" and isinstance(told[1], EnteredInError)
    assert drawing_of(wrong).is_empty
    assert [each.seq for each in drawing_of(right).strokes] == list(range(1, 12))
