"""Reactions to treatment: recorded as they were, followed up until they are over, never changed."""

import re
import uuid
from datetime import timedelta

import pytest
from django.utils import timezone

from charting.treatment import adverse
from charting.treatment import adverse_services as services
from charting.treatment.models import AdverseEvent
from charting.treatment.queries import open_reactions, reactions_of

DAY = {"day_day": "4", "day_month": "May", "day_year": "2026", "at": "14:05"}
SENT = {"what": "bruise", "severity": "mild", "words": "As large as a coin."}


def happened(**more):
    return services.Happened(timezone.now() - timedelta(hours=1), **{**SENT, **more})


@pytest.fixture
def bruise(visit, mara):
    due = timezone.localdate() + timedelta(days=2)
    said = happened(visit=visit, follow_up_on=due)
    return services.record_event(who=mara, patient=visit.patient, id=uuid.uuid4(), said=said)


def url(patient):
    return f"/patients/{patient.pk}/reactions/"


def test_it_takes_the_severity_classes_of_a_licensing_body():
    # Physiotherapy Alberta, dry needling, questions about adverse events: mild, significant, serious.
    known = adverse.load()
    assert list(known.severities) == ["mild", "significant", "serious"]
    assert "hospital" in known.severities["serious"].words.lower()


@pytest.mark.parametrize(
    ("data", "said"),
    [
        ({}, "severity: exactly mild, significant, serious"),
        ({"severity": {"mild": {"label": "Mild"}}}, "severity mild: its members are"),
    ],
)
def test_the_file_is_refused_with_what_to_mend(data, said):
    with pytest.raises(adverse.AdverseError, match=said):
        adverse.read(data)


def test_a_kind_without_a_source_is_refused():
    said = {"label": "x", "words": "x", "follow_up_days": 0, "source": "x", "status": "checked"}
    severity = {name: said for name in ("mild", "significant", "serious")}
    kind = {"id": "itch", "label": "Itch", "think": "", "source": "", "status": "checked"}
    with pytest.raises(adverse.AdverseError, match="kind itch: needs label, source"):
        adverse.read({"severity": severity, "kind": [kind]})


def test_it_is_recorded_from_the_page_with_the_treatment_it_followed(agreed, add, as_mara):
    row = add("pressure", "infraspinatus.right", minutes=4)
    page = as_mara.get(url(agreed.patient)).content.decode()
    assert re.search(r"Infraspinatus, right: manual pressure", page)
    sent = {"id": uuid.uuid4(), **SENT, **DAY, "treated": str(row.pk), "reported_by_patient": "on"}
    assert as_mara.post(url(agreed.patient), sent).status_code == 302
    event = AdverseEvent.objects.get()
    assert (event.muscle, event.technique, event.visit_id) == ("infraspinatus", "pressure", agreed.pk)
    assert event.reported_by_patient


def test_the_form_proposes_when_to_look_again(visit, as_mara):
    page = as_mara.get(url(visit.patient)).content.decode()
    assert "Look at it again within 2 days." in page and "Look at it again within 1 day." in page


def test_a_second_tap_records_it_once(visit, as_mara):
    sent = {"id": uuid.uuid4(), **SENT, **DAY}
    for _ in range(2):
        as_mara.post(url(visit.patient), sent)
    assert AdverseEvent.objects.count() == 1


@pytest.mark.parametrize(
    ("wrong", "said"),
    [
        ({"what": ""}, "Choose what happened."),
        ({"severity": ""}, "Choose how severe it is."),
        ({"words": ""}, "Say what happened."),
        ({"day_year": "2199"}, "not be in the future"),
        ({"at": "25:99"}, "hours and minutes"),
        (
            {"follow_up_on_day": "1", "follow_up_on_month": "1", "follow_up_on_year": "2020"},
            "must not be past",
        ),
    ],
)
def test_what_is_wrong_is_named_and_nothing_typed_is_lost(visit, as_mara, wrong, said):
    sent = {"id": uuid.uuid4(), **SENT, **DAY, "done": "Cool pack.", **wrong}
    answer = as_mara.post(url(visit.patient), sent)
    assert answer.status_code == 422
    assert said in answer.content.decode()
    assert "Cool pack." in answer.content.decode()
    assert not AdverseEvent.objects.exists()


def test_it_stays_on_the_day_list_until_it_is_over(bruise, mara):
    assert [each.event for each in open_reactions(mara)] == [bruise]
    later = timezone.localdate() + timedelta(days=5)
    services.follow_up(who=mara, event=bruise, words="Larger.", settles=False, next_on=later)
    assert [each.due for each in open_reactions(mara)] == [later]
    services.follow_up(who=mara, event=bruise, words="Gone.", settles=True)
    assert open_reactions(mara) == ()


def test_a_follow_up_that_goes_on_needs_its_day(bruise, as_mara):
    at = f"{url(bruise.patient)}{bruise.pk}/follow-up/"
    answer = as_mara.post(at, {"words": "Larger.", "settles": "no"})
    assert answer.status_code == 422
    assert "Name the day on which it is looked at again." in answer.content.decode()
    assert "Larger." in answer.content.decode()


def test_a_correction_stands_in_its_place_and_the_wrong_line_stays(bruise, mara, as_mara):
    services.follow_up(who=mara, event=bruise, words="Half gone.", settles=True)
    at = f"{url(bruise.patient)}{bruise.pk}/correct/"
    sent = {"id": uuid.uuid4(), **SENT, **DAY, "severity": "significant"}
    assert as_mara.post(at, sent).status_code == 302
    (standing,) = reactions_of(bruise.patient)
    assert (standing.severity, standing.corrects) == ("significant", bruise)
    assert AdverseEvent.objects.count() == 2
    assert open_reactions(mara) == ()
    page = as_mara.get(url(bruise.patient)).content.decode()
    assert "corrected by a later line" in page
    assert page.count("Half gone.") == 2
    with pytest.raises(services.NotKept, match="corrected this line meanwhile"):
        services.correct_event(who=mara, event=bruise, id=uuid.uuid4(), said=happened())


def test_an_open_reaction_that_is_corrected_stays_open_once(bruise, mara):
    due = bruise.follow_up_on
    services.correct_event(who=mara, event=bruise, id=uuid.uuid4(), said=happened(follow_up_on=due))
    assert len(open_reactions(mara)) == 1


def test_another_practice_sees_and_writes_nothing(bruise, ines, as_ines):
    assert as_ines.get(url(bruise.patient)).status_code == 404
    with pytest.raises(Exception, match="registered with another practice"):
        services.record_event(who=ines, patient=bruise.patient, id=uuid.uuid4(), said=happened())
