"""What stays with a person: confirmed visit by visit, each time in rows of its own."""

from datetime import UTC, datetime
from unittest import mock

import pytest

from charting.history import standing
from charting.history.models import StandingFact
from charting.history.queries import case_of, questions_of, standing_of
from charting.history.services import save_answers
from charting.history.standing import StandingError
from charting.visits.models import Visit
from tests.charting import recorded

FACTS = ("anticoagulant", "pregnancy", "implant", "allergy", "needle_reaction")
MAY = datetime(2026, 5, 3, 12, tzinfo=UTC)


def url(visit):
    return f"/visits/{visit.pk}/story/"


def told(version=0, **answers):
    return {"version": version, **{f"told_{key}": said for key, said in answers.items()}}


def confirmed(visit, on=MAY, **facts):
    """Rows as a visit leaves them, on that day."""
    with mock.patch("django.utils.timezone.now", return_value=on):
        for key, value in facts.items():
            StandingFact.objects.create(
                patient=visit.patient, visit=visit, key=key, value=value, confirmed_by=visit.clinician
            )


def still_so(as_mara, visit, version=0, **more):
    """The one tap, as the page sends it."""
    shown = as_mara.get(url(visit)).context["page"].form["shown"].value()
    return as_mara.post(url(visit), {**told(version), "same": "on", "shown": shown, **more})


@pytest.fixture
def earlier(anna, mara):
    """A visit in May: warfarin, and no to the rest."""
    before = Visit.objects.create(patient=anna, clinician=mara)
    noes = {key: "no" for key in FACTS if key != "anticoagulant"}
    confirmed(before, anticoagulant="yes", anticoagulant_which="warfarin", **noes)
    return before


def said(patient):
    return {fact.subject.item.key: fact.words for fact in standing_of(patient)}


def test_it_shows_what_was_confirmed_before_and_when(earlier, blank, as_mara):
    response = as_mara.get(url(blank))
    assert "<strong>Blood thinner or bleeding disorder:</strong> yes, warfarin" in response.content.decode()
    assert "on 3 May 2026" in response.content.decode()
    assert response.context["page"].form["told_anticoagulant"].value() is None


def test_one_tap_confirms_all_of_it_anew(earlier, blank, as_mara, mara):
    assert still_so(as_mara, blank).status_code == 302
    rows = StandingFact.objects.filter(visit=blank)
    assert {row.key: row.value for row in rows} == {
        row.key: row.value for row in StandingFact.objects.filter(visit=earlier)
    }
    assert {row.confirmed_by for row in rows} == {mara}
    assert all(fact.visit_id == blank.pk and fact.confirmed_at > MAY for fact in standing_of(blank.patient))


def test_one_tap_and_one_change(earlier, blank, as_mara):
    still_so(as_mara, blank, told_allergy="yes", told_allergy_which="nickel")
    assert said(blank.patient)["allergy"] == "yes, nickel"
    assert said(blank.patient)["anticoagulant"] == "yes, warfarin"
    assert StandingFact.objects.filter(visit=blank, key="allergy").count() == 1


def test_saving_the_story_again_confirms_nothing_twice(earlier, blank, as_mara):
    still_so(as_mara, blank)
    count = StandingFact.objects.count()
    page = as_mara.get(url(blank)).context["page"]
    again = {
        field.name: field.value() for field in page.form if field.name != "same" and field.value() is not None
    }
    assert as_mara.post(url(blank), {**again, "complaint": "Pain."}).status_code == 302
    assert StandingFact.objects.count() == count


def test_left_alone_nothing_is_confirmed_and_the_old_still_counts(earlier, blank, as_mara):
    as_mara.post(url(blank), told(onset="sudden", anticoagulant_which="warfarin"))
    assert not StandingFact.objects.filter(visit=blank).exists()
    assert case_of(blank)["anticoagulant_which"] == "warfarin"


def test_the_tap_counts_only_for_what_the_page_showed(earlier, blank, as_mara):
    shown = as_mara.get(url(blank)).context["page"].form["shown"].value()
    confirmed(earlier, on=datetime(2026, 5, 4, tzinfo=UTC), implant="yes", implant_which="pacemaker")
    sent = {**told(onset="sudden"), "same": "on", "shown": shown}
    response = as_mara.post(url(blank), sent)
    assert response.status_code == 422
    text = response.content.decode()
    assert "changed since this page was opened" in text and "pacemaker" in text
    form = response.context["page"].form
    assert not form["same"].value() and form["told_onset"].value() == "sudden"
    sent["shown"] = form["shown"].value()
    assert as_mara.post(url(blank), sent).status_code == 302
    assert said(blank.patient)["implant"] == "yes, pacemaker"


def test_a_which_without_its_yes_is_asked_for_and_not_thrown_away(blank, as_mara):
    response = as_mara.post(url(blank), told(allergy_which="nickel"))
    assert response.status_code == 422
    assert list(response.context["page"].form.errors) == ["told_allergy"]
    assert response.context["page"].form["told_allergy_which"].value() == "nickel"


def test_a_no_puts_the_which_aside(earlier, blank, as_mara):
    as_mara.post(url(blank), told(anticoagulant="no", anticoagulant_which="warfarin"))
    assert said(blank.patient)["anticoagulant"] == "no"
    assert "anticoagulant_which" not in case_of(blank)


def test_the_week_of_an_earlier_pregnancy_says_nothing_about_this_one(earlier, blank, as_mara):
    confirmed(earlier, pregnancy="yes", pregnancy_week=20)
    assert said(blank.patient)["pregnancy"] == "yes, 20 weeks"
    as_mara.post(url(blank), told(pregnancy="yes"))
    assert said(blank.patient)["pregnancy"] == "yes"


def test_what_was_tapped_by_mistake_is_taken_back_and_the_visit_before_counts(earlier, blank, as_mara):
    as_mara.post(url(blank), told(anticoagulant="no", implant="yes"))
    as_mara.post(url(blank), told(1, anticoagulant="", implant=""))
    assert said(blank.patient)["anticoagulant"] == "yes, warfarin"
    assert said(blank.patient)["implant"] == "no"
    assert StandingFact.objects.filter(visit=blank).count() == 4


def test_a_signed_visit_keeps_what_was_known_in_it(earlier, anna, mara):
    Visit.objects.filter(pk=earlier.pk).update(signed_at=datetime(2026, 5, 3, 13, tzinfo=UTC))
    earlier.refresh_from_db()
    later = Visit.objects.create(patient=anna, clinician=mara)
    confirmed(later, on=datetime(2026, 6, 1, tzinfo=UTC), anticoagulant="no")
    assert case_of(earlier)["anticoagulant"] == "yes"
    assert case_of(later)["anticoagulant"] == "no"


def test_what_the_patient_tells_alone_is_confirmed_by_the_clinician(blank, mara):
    answers = {"allergy": "yes", "allergy_which": "latex"}
    save_answers(who=mara, visit=blank, version=0, answers=answers, told_by="patient")
    assert said(blank.patient) == {"allergy": "yes, latex"}
    assert StandingFact.objects.first().confirmed_by == mara


def test_the_facts_of_one_person_are_not_those_of_another(earlier, practice, mara):
    other = Visit.objects.create(patient=recorded.patient(practice, number=7), clinician=mara)
    assert case_of(other) == {} and questions_of(other).facts == ()


# The data file.


def data(**changes):
    chips = {subject.item.key: ["Words", ": {which}", "topic"] for subject in standing.rules().subjects}
    return {"confirm_again_after_days": 90, "of_age": 18, "chips": chips, **changes}


def test_it_reads_its_data_file():
    assert {subject.item.key for subject in standing.rules().subjects} == set(FACTS)
    assert standing.read(data()).confirm_again_after.days == 90


@pytest.mark.parametrize(
    ("changes", "reason"),
    [
        ({"of_age": "18"}, "of_age must be a whole number above 0"),
        ({"confirm_again_after_days": 0}, "confirm_again_after_days must be a whole number above 0"),
        ({"chips": {}}, "chips.anticoagulant: needs words"),
        ({"chips": {**data()["chips"], "allergy": ["Allergy", "", ""]}}, "chips.allergy: needs words"),
        ({"chips": {**data()["chips"], "shoe": ["Shoe", ": {which}", "shoe"]}}, "chips: no such item: shoe"),
    ],
)
def test_it_refuses_a_wrong_data_file(changes, reason):
    with pytest.raises(StandingError, match=reason):
        standing.read(data(**changes))
