"""A merge that was wrong: every row goes back, and of each made since somebody says whose it is."""

import pytest
from django.core.exceptions import PermissionDenied

from charting.appointments.models import Appointment
from charting.audit.models import AuditEntry
from charting.contacts.queries import log_of
from charting.episodes.models import Episode
from charting.insurance.models import Claim, Payer, Policy
from charting.merging import apart
from charting.merging.apart import NotApart
from charting.patients.models import Patient
from charting.patients.queries import search
from charting.visits.models import Visit
from charting.visits.services import start
from tests.charting.appointments.booked import booked
from tests.charting.audit.changes.merging import a_line


def now(row):
    return type(row).objects.get(pk=row.pk)


@pytest.fixture
def take_apart(mara):
    def done(merge, **choices):
        said = {one.key: choices[one.name] for one in apart.made_since(merge) if one.name in choices}
        return apart.unmerge(who=mara, merge=merge, choices=said, reason="Two cousins.")

    return done


def test_every_row_is_where_it_was(anna, twice, blank, her_visit, mara, merged, take_apart):
    lines = {patient: a_line(mara, patient) for patient in (anna, twice)}
    before = [list(Visit.objects.order_by("pk").values()), list(Appointment.objects.values())]
    take_apart(merged())
    assert [list(Visit.objects.order_by("pk").values()), list(Appointment.objects.values())] == before
    for patient, line in lines.items():
        assert [each.contact.pk for each in log_of(mara, now(patient))] == [line.pk]
    assert set(search(mara, "keller").patients) == {anna, twice}


def test_what_was_taken_over_is_given_back_unless_changed_since(anna, twice, merged, take_apart):
    merge = merged(values={"phone": "gone", "birth_date": "gone"})
    take_apart(merge)
    assert (now(anna).phone, now(twice).phone) == ("", "000 22")
    again = merged(kept=now(anna), gone=now(twice), values={"phone": "gone"})
    Patient.objects.filter(pk=anna.pk).update(phone="000 33")
    take_apart(again)
    assert now(anna).phone == "000 33"


@pytest.mark.parametrize("side", ["kept", "gone"])
def test_a_visit_made_since_goes_where_it_is_said_with_its_complaint(
    anna, twice, mara, merged, take_apart, new_id, side
):
    merge = merged()
    visit = start(who=mara, patient=anna, clinician=mara, id=new_id)
    with pytest.raises(NotApart, match="whose it is"):
        take_apart(merge)
    take_apart(merge, visits=side)
    person = anna if side == "kept" else twice
    assert (now(visit).patient, now(visit).episode.patient) == (person, person)


def test_a_complaint_shared_by_both_is_divided(anna, twice, mara, merged, take_apart, new_id):
    """The second record had a complaint; a visit since went on with it, and turns out to be Anna's."""
    about = {"patient": twice, "title": "Neck", "opened_by": mara}
    neck = Episode.objects.create(**about, opened_at="2026-01-02T10:00Z")
    before = Visit.objects.create(patient=twice, clinician=mara, episode=neck)
    merge = merged()
    since = Visit.objects.create(patient=anna, clinician=mara, episode=neck)
    take_apart(merge, visits="kept")
    assert now(before).episode == neck and now(neck).patient == twice
    own = now(since).episode
    assert own != neck and (own.patient, own.title) == (anna, "Neck")


def test_an_appointment_follows_its_visit_and_one_without_is_asked_for(anna, twice, mara, merged, take_apart):
    merge = merged()
    row = booked(anna, mara)
    take_apart(merge, appointments="gone")
    assert now(row).patient == twice


def test_nobody_is_billed_under_the_policy_of_somebody_else(anna, twice, mara, practice, merged, take_apart):
    payer = Payer.objects.create(practice=practice, name="Fund")
    policy = Policy.objects.create(patient=twice, payer=payer, number="1")
    episode = Episode.objects.create(patient=anna, opened_by=mara, opened_at="2026-01-02T10:00Z")
    merge = merged()
    claim = Claim.objects.create(episode=episode, policy=policy)
    take_apart(merge)
    assert now(policy).patient == twice and now(claim).policy is None


def test_it_tells_what_was_written_since_and_can_not_move(anna, mara, merged):
    merge = merged()
    line = a_line(mara, anna)
    assert apart.stay_since(merge) == {"contacts": [line]}


def test_a_chain_is_taken_apart_from_its_end(anna, twice, practice, mara, merged, take_apart, her_visit):
    told = {"family_name": "K", "given_names": "A", "birth_date": anna.birth_date}
    third = Patient.objects.create(practice=practice, record_number=3, **told)
    first = merged()
    second = merged(kept=third, gone=now(anna))
    with pytest.raises(NotApart, match="Take that merge apart first"):
        take_apart(first)
    take_apart(second)
    assert now(twice).merged_into == anna and now(her_visit).patient == anna
    take_apart(first)
    assert now(her_visit).patient == twice and now(her_visit).made_under is None


def test_what_a_later_merge_brought_is_not_asked_for(anna, twice, practice, mara, merged):
    told = {"family_name": "K", "given_names": "A", "birth_date": anna.birth_date}
    third = Patient.objects.create(practice=practice, record_number=3, **told)
    Visit.objects.create(patient=third, clinician=mara)
    first = merged()
    merged(kept=now(anna), gone=third)
    assert apart.made_since(first) == ()


def test_it_is_taken_apart_once(merged, take_apart):
    merge = merged()
    take_apart(merge)
    with pytest.raises(NotApart, match="already"):
        take_apart(merge)


def test_both_records_tell_of_it(anna, twice, merged, take_apart):
    take_apart(merged())
    rows = AuditEntry.objects.filter(action__in=("took records apart", "stands alone again"))
    assert {row.object_id for row in rows} == {str(anna.pk), str(twice.pk)}


def test_only_who_has_the_right_takes_apart(merged, poll, ines):
    merge = merged()
    for who in (poll, ines):
        with pytest.raises(PermissionDenied):
            apart.unmerge(who=who, merge=merge, choices={}, reason="x")
