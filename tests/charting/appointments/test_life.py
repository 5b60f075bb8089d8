"""Expected, here, visit begun; or missed or cancelled, which the contact log says too."""

import uuid
from datetime import timedelta

import pytest
from django.core.exceptions import PermissionDenied
from django.utils import timezone

from charting.appointments.models import Appointment
from charting.appointments.services import NotKept, arrive, begin, cancel, change, miss, not_here
from charting.contacts import services as contacts
from charting.contacts.models import Contact
from charting.contacts.queries import log_of
from charting.drafts.models import Draft
from charting.episodes.services import About, AskWhich
from charting.versioning import Stale
from charting.visits.models import Visit
from tests.charting.appointments.booked import booked
from tests.charting.episodes.cared import a_discharged_one


@pytest.fixture
def row(anna, mara):
    return booked(anna, mara)


def changed(row, **others):
    values = {"clinician": row.clinician, "starts_at": row.starts_at, "minutes": 30, "reason": ""}
    return {"appointment": row, "version": row.version, **values, **others}


def test_it_says_since_when_somebody_is_here(row, poll):
    before = timezone.now()
    arrive(who=poll, appointment=row, version=1)
    now = Appointment.objects.get()
    assert now.state == "arrived" and before <= now.arrived_at <= timezone.now()


def test_a_second_tap_changes_nothing(row, poll):
    first = arrive(who=poll, appointment=row, version=1)
    assert arrive(who=poll, appointment=row, version=1).version == first.version == 2


def test_a_slip_is_taken_back(row, poll):
    arrive(who=poll, appointment=row, version=1)
    not_here(who=poll, appointment=row, version=2)
    now = Appointment.objects.get()
    assert (now.state, now.arrived_at) == ("booked", None)


def test_nobody_is_here_on_another_day(anna, mara):
    tomorrow = booked(anna, mara, at=timezone.now() + timedelta(days=1))
    with pytest.raises(NotKept, match="another day"):
        arrive(who=mara, appointment=tomorrow, version=1)
    with pytest.raises(NotKept, match="another day"):
        begin(who=mara, appointment=tomorrow, id=uuid.uuid4())


def test_it_moves_and_is_expected_anew_on_another_day(row, poll, tom):
    arrive(who=poll, appointment=row, version=1)
    row.refresh_from_db()
    tomorrow = row.starts_at + timedelta(days=1)
    change(who=poll, **changed(row, clinician=tom, starts_at=tomorrow, reason="Neck"))
    now = Appointment.objects.get()
    assert (now.clinician, now.starts_at, now.reason) == (tom, tomorrow, "Neck")
    assert (now.state, now.arrived_at) == ("booked", None)


def test_who_is_here_stays_here_when_the_time_changes(row, poll):
    arrive(who=poll, appointment=row, version=1)
    row.refresh_from_db()
    change(who=poll, **changed(row, minutes=45))
    assert Appointment.objects.get().state == "arrived"


def test_two_who_change_it_at_once_see_the_clash(row, poll, mara):
    change(who=poll, **changed(row, minutes=45))
    for act in (
        lambda: change(who=mara, **{**changed(row, minutes=60), "version": 1}),
        lambda: arrive(who=mara, appointment=row, version=1),
        lambda: cancel(who=mara, appointment=row, version=1, why="Called."),
    ):
        with pytest.raises(Stale) as clash:
            act()
        assert clash.value.current.minutes == 45


def test_a_cancelled_one_says_why_here_and_in_the_contact_log(row, poll, anna):
    cancel(who=poll, appointment=row, version=1, why="Has a cold.", needs_follow_up=True)
    now, line = Appointment.objects.get(), Contact.objects.get()
    assert (now.state, now.ended_why) == ("cancelled", "Has a cold.")
    assert (line.way, line.patient, line.written_by, line.needs_follow_up) == ("cancelled", anna, poll, True)
    assert line.words.endswith("with Mara Steiner: cancelled. Has a cold.")


def test_a_missed_one_stands_in_the_log_at_its_time(row, poll):
    miss(who=poll, appointment=row, version=1)
    line = Contact.objects.get()
    assert (line.way, line.happened_at) == ("missed", row.starts_at)
    assert Appointment.objects.get().state == "noshow"


def test_it_ends_once(row, poll):
    for _ in range(2):
        miss(who=poll, appointment=row, version=1)
    with pytest.raises(Stale):
        cancel(who=poll, appointment=row, version=1, why="Called.")
    with pytest.raises(NotKept, match="missed"):
        cancel(who=poll, appointment=row, version=2, why="Called.")
    assert Contact.objects.count() == 1


def test_nobody_misses_what_is_still_to_come(anna, mara):
    later = booked(anna, mara, at=timezone.now() + timedelta(hours=1))
    with pytest.raises(NotKept, match="not come yet"):
        miss(who=mara, appointment=later, version=1)


def test_a_cancelled_one_needs_a_reason(row, mara):
    with pytest.raises(NotKept, match="Write why"):
        cancel(who=mara, appointment=row, version=1, why="  ")
    assert not Contact.objects.exists()


def test_who_came_after_all_is_here_and_the_log_is_put_right(row, poll, anna):
    miss(who=poll, appointment=row, version=1, needs_follow_up=True)
    arrive(who=poll, appointment=row, version=2)
    newest, wrong = log_of(poll, anna)
    assert wrong.corrected_by == newest.contact and not wrong.is_open and not newest.is_open
    assert newest.contact.words.startswith("Marked as missed by mistake: came on")
    assert Appointment.objects.get().state == "arrived"


def test_a_line_that_was_corrected_by_hand_is_no_hindrance(row, poll, anna):
    miss(who=poll, appointment=row, version=1)
    own = {"id": uuid.uuid4(), "way": "missed", "words": "Was here.", "happened_at": timezone.now()}
    contacts.correct(who=poll, line=Contact.objects.get(), **own, needs_follow_up=False)
    arrive(who=poll, appointment=row, version=2)
    assert Contact.objects.count() == 2


def test_what_is_half_typed_into_the_log_stays(row, poll, anna):
    Draft.objects.create(user=poll, key=contacts.draft_key(anna), data={"words": ["Half a sent"]})
    cancel(who=poll, appointment=row, version=1, why="Called.")
    assert Draft.objects.get().data == {"words": ["Half a sent"]}


def test_a_manager_logs_no_contacts_and_so_ends_none(row, vera):
    for act in (
        lambda: cancel(who=vera, appointment=row, version=1, why="x"),
        lambda: miss(who=vera, appointment=row, version=1),
    ):
        with pytest.raises(PermissionDenied):
            act()


def test_somebody_of_another_practice_changes_nothing(row, ines):
    for act in (
        lambda: arrive(who=ines, appointment=row, version=1),
        lambda: begin(who=ines, appointment=row, id=uuid.uuid4()),
        lambda: change(who=ines, **changed(row)),
        lambda: cancel(who=ines, appointment=row, version=1, why="x"),
    ):
        with pytest.raises(PermissionDenied):
            act()
    assert Appointment.objects.get().version == 1


def test_the_visit_begins_with_who_begins_it(row, tom):
    visit = begin(who=tom, appointment=row, id=uuid.uuid4())
    now = Appointment.objects.get()
    assert (now.state, now.visit, visit.clinician) == ("fulfilled", visit, tom)
    assert now.arrived_at == visit.started_at


def test_the_assistant_begins_it_for_its_clinician(row, poll, mara):
    assert begin(who=poll, appointment=row, id=uuid.uuid4()).clinician == mara


def test_a_double_tap_begins_one_visit(row, mara):
    same = uuid.uuid4()
    assert begin(who=mara, appointment=row, id=same) == begin(who=mara, appointment=row, id=same)
    with pytest.raises(NotKept, match="not waiting any more"):
        begin(who=mara, appointment=row, id=uuid.uuid4())
    assert Visit.objects.count() == 1


def test_after_a_discharge_it_asks_and_nothing_is_begun_until_it_knows(row, mara, anna):
    episode = a_discharged_one(anna, mara)
    with pytest.raises(AskWhich):
        begin(who=mara, appointment=row, id=uuid.uuid4())
    assert Appointment.objects.get().state == "booked"
    about = About(episode=episode.pk, words="Back.")
    assert begin(who=mara, appointment=row, id=uuid.uuid4(), about=about).episode == episode
