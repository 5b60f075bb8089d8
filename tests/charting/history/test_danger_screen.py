"""The danger screen: what it asks, what a yes asks for, and that it is whole before any ranking."""

import dataclasses

import pytest

from bodymaps.reasoning import flags, items
from bodymaps.reasoning.case import Case
from bodymaps.reasoning.conditions import Facts
from bodymaps.reasoning.drawn import Drawn
from charting.history import danger_screen
from charting.history.danger_screen import DangerScreenError
from charting.history.models import DangerAnswer
from charting.history.queries import alarms, is_complete, screen_of, state_of
from charting.history.services import answer_danger_screen
from charting.versioning import Stale
from charting.visits.models import Visit
from tests.charting.addresses import danger_answers


def url(visit):
    return f"/visits/{visit.pk}/danger-screen/"


# What the short screen has to cover, each with words that must stand in its question.
COVERED = {
    "trauma": ["accident"],
    "cord": ["clumsy", "unsteady"],
    "bladder_bowel_saddle": ["urine", "stool", "between the legs"],
    "chest": ["effort", "sweating"],
    "new_head_neck_pain": ["unlike any", "suddenly"],
    "fever": ["fever"],
    "cancer": ["cancer"],
    "weight_loss": ["weight"],
}


def test_it_asks_about_every_danger_on_the_list():
    asked = {question.id: question.question for question in danger_screen.load().questions}
    assert set(asked) == set(COVERED)
    for name, words in COVERED.items():
        assert all(word in asked[name] for word in words)


def test_it_says_how_urgent_what_to_do_and_where_it_is_from():
    for question in danger_screen.load().questions:
        assert question.urgency_words and question.why and question.sources
        assert len(question.on_yes) > 40
    assert "local rules" in danger_screen.load().local_rules


def test_what_a_yes_asks_for_is_what_the_rules_say_of_it():
    """One place for it: flags.toml. A yes alone is held against the rules, as any case is."""
    for question in danger_screen.load().questions:
        assert question.flags == flags.raised(Facts(Case(history={question.id: "yes"}), Drawn()))


def test_it_never_words_a_diagnosis():
    for question in danger_screen.load().questions:
        for text in (question.question, question.why, question.on_yes):
            assert "diagnos" not in text.lower() and "you have a" not in text.lower()


def test_it_treats_hours_as_hours():
    """Cauda equina: hospital within hours (BMJ Best Practice; Finucane et al. 2020)."""
    asked = {question.id: question for question in danger_screen.load().questions}
    assert asked["bladder_bowel_saddle"].urgency == "emergency"
    assert asked["chest"].urgency == "emergency"


def test_it_does_not_let_tenderness_rule_out_the_heart():
    """Swap and Nagurney 2005: pain brought on by pressing lowers the likelihood, but not to nothing."""
    chest = next(each for each in danger_screen.load().questions if each.id == "chest")
    assert "does not rule the heart out" in chest.why and "right arm" in chest.why


@pytest.mark.parametrize("change", [{"ask": ""}, {"type": "text"}, {"key": "smoking_years"}])
def test_it_refuses_a_question_that_leads_nowhere(change):
    item = items.history().items["fever"]
    with pytest.raises(DangerScreenError, match=change.get("key", "fever")):
        danger_screen.questions_of([dataclasses.replace(item, **change)])


def test_it_is_complete_only_with_every_answer(blank, mara):
    assert not is_complete(blank)
    for question in danger_screen.load().questions[:-1]:
        DangerAnswer.objects.create(visit=blank, question=question.id, answer="no")
    assert not is_complete(blank)
    DangerAnswer.objects.create(visit=blank, question=danger_screen.load().questions[-1].id, answer="no")
    assert is_complete(blank)


def test_it_is_open_again_when_a_question_is_added(blank, as_mara, monkeypatch):
    as_mara.post(url(blank), danger_answers(blank))
    assert is_complete(blank)
    screen = danger_screen.load()
    one_more = dataclasses.replace(screen.questions[0], id="one_more")
    more = dataclasses.replace(screen, questions=(*screen.questions, one_more))
    monkeypatch.setattr(danger_screen, "load", lambda: more)
    assert not is_complete(blank)


def test_it_preselects_nothing(blank, as_mara):
    assert " checked" not in as_mara.get(url(blank)).content.decode()


def test_it_saves_only_when_all_are_answered(blank, as_mara):
    sent = danger_answers(blank)
    del sent["fever"]
    response = as_mara.post(url(blank), sent)
    text = response.content.decode()
    assert response.status_code == 422
    assert 'href="#id_fever"' in text and "Choose yes, no or not sure." in text
    assert not DangerAnswer.objects.exists()


def test_it_goes_on_to_the_drawing_when_there_is_nothing_to_act_on(blank, as_mara):
    assert as_mara.post(url(blank), danger_answers(blank)).headers["Location"].endswith("/drawing-step/")


def test_it_stays_and_shows_what_to_do_for_a_yes_and_for_not_sure(blank, as_mara):
    sent = danger_answers(blank, cancer="yes", chest="unsure", cancer_remark="Breast, 2019")
    assert as_mara.post(url(blank), sent).headers["Location"] == url(blank)
    raised = alarms(blank)
    assert [(alarm.id, alarm.answer) for alarm in raised] == [("chest", "unsure"), ("cancer", "yes")]
    text = as_mara.get(url(blank)).content.decode()
    assert raised[1].what_to_do in text and "Breast, 2019" in text
    assert "Not sure counts as a yes" in raised[0].what_to_do


def test_it_lets_an_answer_be_changed_until_the_visit_is_signed(blank, as_mara):
    as_mara.post(url(blank), danger_answers(blank, fever="yes"))
    as_mara.post(url(blank), danger_answers(blank))
    assert alarms(blank) == ()
    type(blank).objects.filter(pk=blank.pk).update(signed_at=blank.started_at)
    assert as_mara.post(url(blank), danger_answers(blank, fever="yes")).status_code == 403
    assert alarms(blank) == ()


def test_of_two_who_answer_at_once_the_second_sees_both(blank, as_mara, tom, client):
    client.force_login(tom)
    mine, toms = danger_answers(blank, fever="yes"), danger_answers(blank, cancer="yes")
    as_mara.post(url(blank), mine)
    response = client.post(url(blank), toms)
    assert response.status_code == 409
    assert {clash[0] for clash in response.context["page"].clashes} == {"Infection", "Cancer"}
    assert {alarm.id for alarm in alarms(blank)} == {"fever"}
    client.post(url(blank), {**toms, "state": response.context["page"].form["state"].value()})
    assert {alarm.id for alarm in alarms(blank)} == {"cancer"}


def test_the_service_takes_no_half_screen_and_no_unknown_answer(blank, mara):
    whole = {question.id: ("no", "") for question in danger_screen.load().questions}
    state = state_of(blank)
    half = {"fever": ("no", "")}
    for answers in (half, {**whole, "fever": ("maybe", "")}, {**whole, "other": ("no", "")}):
        with pytest.raises(ValueError, match="answer"):
            answer_danger_screen(who=mara, visit=blank, state=state, answers=answers)
    with pytest.raises(Stale):
        answer_danger_screen(who=mara, visit=blank, state="0" * 16, answers=whole)
    assert not any(each.answer for each in screen_of(blank))


def test_it_says_what_was_answered_the_visit_before_and_fills_nothing_in(visit, as_mara):
    answered = danger_answers(visit, cancer="yes", cancer_remark="breast, ten years ago")
    as_mara.post(url(visit), answered)
    later = Visit.objects.create(patient=visit.patient, clinician=visit.clinician)
    shown = as_mara.get(url(later)).content.decode()
    assert "Cancer: yes</strong> (breast, ten years ago)" in shown and f"/visits/{visit.pk}/" in shown
    assert " checked" not in shown
    assert "At the visit of" not in as_mara.get(url(visit)).content.decode()
