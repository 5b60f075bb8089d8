"""The story by tapping: every item of the catalogue, saved, read back, taken out, as a case and in words."""

from datetime import date

import pytest

from bodymaps.reasoning import items
from bodymaps.reasoning.case import CaseError
from charting.audit.models import AuditEntry
from charting.history.models import DangerAnswer, StandingFact, Story, StoryAnswer
from charting.history.queries import answers_of, case_of
from charting.history.services import save_answers
from charting.patients.models import Patient
from charting.versioning import Stale
from charting.visits.models import Visit

STORY = [item for group in items.history().on_page("story") for item in group.items]
ASKED = [*STORY, *(item for group in items.history().on_page("standing") for item in group.items)]


def url(visit):
    return f"/visits/{visit.pk}/story/"


def told(version=0, **answers):
    """What the form sends."""
    return {"version": version, **{f"told_{key}": said for key, said in answers.items()}}


def some(item):
    """Something to send for an item, and what it is read back as."""
    if item.type == "number":
        return f"{item.most:g}", item.most
    if item.type == "text":
        return "Some words.", "Some words."
    if item.type == "choices":
        ids = [one.id for one in item.choices]
        return [ids[-1], ids[0]], (ids[0], ids[-1])
    return item.choices[-1].id, item.choices[-1].id


def with_its_fact(item):
    """A "which" is told together with the yes it belongs to."""
    fact = item.only_if and item.standing and item.only_if.get("item")
    return {fact: "yes"} if fact else {}


def field(response, key):
    return response.context["page"].form[f"told_{key}"]


def test_it_saves_each_item_and_shows_it_again(blank, as_mara):
    """All at once; each alone is told and taken out again below."""
    sent = {item.key: some(item)[0] for item in ASKED}
    assert as_mara.post(url(blank), told(**sent)).status_code == 302
    held, shown = case_of(blank), as_mara.get(url(blank))
    for item in ASKED:
        said, read = some(item)
        assert held[item.key] == read, item.key
        again = field(shown, item.key).value()
        assert again == (list(read) if isinstance(read, tuple) else said), item.key


@pytest.mark.parametrize("item", STORY, ids=lambda item: item.key)
def test_an_answer_taken_out_leaves_no_row(item, blank, as_mara):
    as_mara.post(url(blank), told(**{item.key: some(item)[0]}))
    assert StoryAnswer.objects.filter(key=item.key).exists()
    as_mara.post(url(blank), told(1))
    assert not StoryAnswer.objects.exists()
    assert item.key not in case_of(blank)


def test_it_preselects_nothing(blank, as_mara):
    page = as_mara.get(url(blank)).content.decode()
    assert " checked" not in page
    assert page.count('class="clear"') == sum(item.type in ("choice", "yes_no") for item in ASKED)


def test_no_minutes_of_stiffness_is_an_answer(blank, as_mara):
    as_mara.post(url(blank), told(morning_stiffness="0"))
    assert case_of(blank) == {"morning_stiffness": 0}
    assert field(as_mara.get(url(blank)), "morning_stiffness").value() == "0"


@pytest.mark.parametrize(
    ("key", "sent", "named"),
    [
        *(
            ("morning_stiffness", typed, "from 0 to 600 min")
            for typed in ("NaN", "inf", "9" * 400, "-1", "601")
        ),
        ("morning_stiffness", "half an hour", "from 0 to 600 min"),
        ("morning_stiffness", "12.5", "whole number"),
        ("onset", "yesterday", "is not one of sudden"),
        ("brings_on", ["reach", "fly"], "is not one of turn_head"),
        ("work", "x" * 121, "at most 120 characters"),
        ("anticoagulant", "maybe", "is not one of yes"),
        ("pregnancy_week", "44", "from 1 to 43 weeks"),
    ],
)
def test_what_can_not_be_names_the_field_and_keeps_everything_typed(blank, as_mara, key, sent, named):
    answers = {"pregnancy": "yes", "goals": "Swim again.", "course": "worse", key: sent}
    response = as_mara.post(url(blank), {**told(**answers), "complaint": "Pain."})
    assert response.status_code == 422
    form = response.context["page"].form
    assert list(form.errors) == [f"told_{key}"]
    assert named in form.errors[f"told_{key}"][0]
    assert {name: form[f"told_{name}"].value() for name in answers} == answers
    assert form["complaint"].value() == "Pain."
    assert items.history().items[key].label in response.content.decode()
    assert (
        not Story.objects.exists() and not StoryAnswer.objects.exists() and not StandingFact.objects.exists()
    )


def test_of_two_who_tap_at_once_neither_loses_an_answer(blank, as_mara, tom, client):
    client.force_login(tom)
    as_mara.post(url(blank), told(onset="sudden", eases=["rest"], course="same"))
    response = client.post(url(blank), told(onset="gradual", eases=["rest", "heat"]))
    assert response.status_code == 409
    assert response.context["page"].clashes == (
        ("Onset", "suddenly", "little by little"),
        ("Course", "the same", ""),
        ("Eases it", "rest", "rest, heat"),
    )
    assert field(response, "eases").value() == ["rest", "heat"]
    assert case_of(blank)["onset"] == "sudden"
    version = response.context["page"].form["version"].value()
    assert client.post(url(blank), told(version, onset="gradual")).status_code == 302
    assert case_of(blank) == {"onset": "gradual"}


def test_a_draft_brings_taps_back_and_what_was_taken_out(blank, as_mara):
    as_mara.post(url(blank), told(onset="sudden", eases=["rest"]))
    kept = told(1, onset="", course="worse", brings_on=["reach", "lift"], goals="Swim")
    as_mara.post("/drafts/keep/", {**kept, "draft_key": f"story:{blank.pk}"})
    response = as_mara.get(url(blank))
    shown = {key: field(response, key).value() for key in ("onset", "course", "brings_on", "eases", "goals")}
    assert shown == {
        "onset": "", "course": "worse", "brings_on": ["reach", "lift"], "eases": [], "goals": "Swim",
    }  # fmt: skip


def test_the_audit_trail_names_what_changed_and_not_the_words(blank, as_mara):
    as_mara.post(url(blank), told(onset="sudden", goals="Swim with my daughter."))
    as_mara.post(url(blank), told(1, onset="gradual", goals="Swim with my daughter."))
    first, second = AuditEntry.objects.filter(action="wrote story").order_by("pk")
    assert (first.detail["changed"], second.detail["changed"]) == (["onset", "goals"], ["onset"])
    assert "daughter" not in str(first.detail)


def test_what_is_hidden_is_kept(blank, as_mara):
    """Who answers was changed back; the name typed before comes back with it."""
    as_mara.post(url(blank), told(who_answers="self", who_answers_name="Jo Keller"))
    assert case_of(blank)["who_answers_name"] == "Jo Keller"
    assert "Jo Keller" not in str(answers_of(blank))
    as_mara.post(url(blank), told(1, who_answers="carer", who_answers_name="Jo Keller"))
    assert "Jo Keller" in str(answers_of(blank))


# In words, and as a case.


def test_the_page_says_in_a_few_lines_what_was_answered(blank, as_mara, as_vera):
    as_mara.post(url(blank), told(onset="sudden", brings_on=["reach", "turn_head"], anticoagulant="no"))
    for who in (as_mara, as_vera):
        text = who.get(url(blank)).content.decode()
        assert "<strong>Onset:</strong> suddenly" in text
        assert "<strong>Brings it on:</strong> turning the head, reaching" in text
    assert "<strong>Blood thinner or bleeding disorder:</strong> no (confirmed" in text


def test_it_groups_the_answers_in_the_order_of_the_catalogue(blank, as_mara):
    as_mara.post(url(blank), told(eases=["rest"], course="worse", onset="sudden"))
    said = [
        (group.title, [(each.label, each.words) for each in group.answers]) for group in answers_of(blank)
    ]
    assert said == [
        ("How it began", [("Onset", "suddenly"), ("Course", "getting worse")]),
        ("What brings it on, what eases it", [("Eases it", "rest")]),
    ]


def test_a_case_holds_the_danger_questions_too_and_three_queries_read_it(
    blank, as_mara, django_assert_num_queries
):
    as_mara.post(url(blank), told(onset="sudden", allergy="unsure"))
    for question, answer in (("fever", "unsure"), ("night_pain", "yes"), ("no_longer_asked", "yes")):
        DangerAnswer.objects.create(visit=blank, question=question, answer=answer)
    with django_assert_num_queries(3):
        case = case_of(blank)
    assert case == {"onset": "sudden", "allergy": "unsure", "fever": "unsure", "night_pain": "yes"}


# Told by the patient, confirmed by the clinician.


def test_answers_of_the_patient_say_so_until_the_clinician_changes_them(blank, mara, as_mara):
    told_by_patient = {"onset": "sudden", "course": "worse"}
    save_answers(who=mara, visit=blank, version=0, answers=told_by_patient, told_by="patient")
    as_mara.post(url(blank), told(1, onset="sudden", course="same"))
    said = {each.key: each.is_patients for group in answers_of(blank) for each in group.answers}
    assert said == {"onset": True, "course": False}
    assert "suddenly (patient)" in as_mara.get(url(blank)).content.decode()


def test_what_is_not_named_stays(blank, mara):
    save_answers(who=mara, visit=blank, version=0, answers={"onset": "sudden"}, told_by="patient")
    save_answers(who=mara, visit=blank, version=1, answers={"course": "same"}, told_by="patient")
    save_answers(who=mara, visit=blank, version=2, answers={"onset": None}, told_by="patient")
    assert case_of(blank) == {"course": "same"}
    assert Story.objects.get().version == 3


@pytest.mark.parametrize(
    ("answers", "named"),
    [
        ({"shoe_size": "42"}, "history.shoe_size: no question of the story"),
        ({"fever": "yes"}, "history.fever: no question of the story"),
        ({"onset": "maybe"}, "history.onset: 'maybe' is not one of"),
        ({"eases": "rest"}, "history.eases: must be a list"),
    ],
)
def test_the_service_refuses_what_can_not_be_and_saves_none_of_it(blank, mara, answers, named):
    with pytest.raises(CaseError, match=named):
        save_answers(
            who=mara, visit=blank, version=0, answers={"course": "same", **answers}, told_by="patient"
        )
    assert not StoryAnswer.objects.exists() and not Story.objects.exists()


def test_the_service_refuses_an_older_version(blank, mara):
    save_answers(who=mara, visit=blank, version=0, answers={"onset": "sudden"}, told_by="patient")
    for version in (0, 5):
        with pytest.raises(Stale):
            save_answers(who=mara, visit=blank, version=version, answers={"onset": None}, told_by="patient")
    assert case_of(blank) == {"onset": "sudden"}


# Who answers.


def visit_of(born, mara):
    named = {"family_name": "Lund", "given_names": "Nils", "birth_date": born}
    person = Patient.objects.create(practice=mara.practice, record_number=7, **named)
    return Visit.objects.create(patient=person, clinician=mara)


def first_sections(response):
    return [section.id for section in response.context["page"].first]


def test_for_a_minor_it_first_asks_who_answers(mara, as_mara):
    visit = visit_of(date(2016, 1, 31), mara)
    response = as_mara.get(url(visit))
    assert first_sections(response) == ["answering"]
    assert "Somebody must answer with or for this person" in response.content.decode()
    as_mara.post(url(visit), told(who_answers="self"))
    assert "Somebody must answer" in as_mara.get(url(visit)).content.decode()
    as_mara.post(url(visit), told(1, who_answers="parent", who_answers_name="Ida Lund"))
    assert "Somebody must answer" not in as_mara.get(url(visit)).content.decode()


def test_from_the_birthday_on_it_does_not(mara, as_mara):
    visit = visit_of(date(2000, 1, 31), mara)
    for years, asks in ((18, False), (17, True)):
        day = visit.started_at.date()
        Patient.objects.update(birth_date=day.replace(year=day.year - years))
        text = as_mara.get(url(visit)).content.decode()
        assert ("Somebody must answer" in text) is asks


def test_for_somebody_who_can_not_decide_it_asks_who_answers(blank, as_mara):
    assert first_sections(as_mara.get(url(blank))) == []
    as_mara.post(url(blank), told(decides_self="unsure"))
    response = as_mara.get(url(blank))
    assert first_sections(response) == ["answering"]
    assert "may not be able to follow the questions" in response.content.decode()


def test_it_asks_a_man_for_no_pregnancy_and_keeps_what_was_told_before(mara, as_mara):
    visit = visit_of(date(1980, 1, 1), mara)
    as_mara.post(url(visit), told(pregnancy="unsure"))
    Patient.objects.filter(pk=visit.patient_id).update(sex="male")
    response = as_mara.get(url(visit))
    assert "told_pregnancy" not in response.context["page"].form.fields
    as_mara.post(url(visit), told(1, onset="sudden"))
    assert case_of(visit)["pregnancy"] == "unsure"


def test_who_works_elsewhere_saves_and_sees_nothing(blank, as_ines, as_poll):
    for who in (as_ines, as_poll):
        assert who.get(url(blank)).status_code == 404
        assert who.post(url(blank), told(onset="sudden")).status_code == 404
    assert not StoryAnswer.objects.exists()
