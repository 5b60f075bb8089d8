"""What drawing and answers call for is asked here, kept beside the danger screen, and may wait."""

import pytest

from charting.audit.models import AuditEntry
from charting.drafts.models import Draft
from charting.flags import services
from charting.flags.queries import asked_on, state_of, state_of_answers
from charting.history.models import DangerAnswer
from charting.versioning import Stale
from tests.charting import recorded
from tests.charting.flags.conftest import CAUDA, say


def url(visit):
    return f"/visits/{visit.pk}/flags/answers/"


def page(visit):
    return f"/visits/{visit.pk}/flags/"


def asked(visit):
    return {item.key for group in state_of(visit).to_ask for item in group.items}


def sent(visit, **answers):
    return {"state": state_of_answers(visit), **answers}


def test_the_drawing_calls_for_the_questions_about_the_heart(visit, as_mara):
    """Shoulder and arm are drawn on the right, and the first question has no plain no."""
    assert "chest_now" not in asked(visit)
    say(visit, chest="unsure")
    assert {"chest_now", "chest_effort", "sweating_sick"} <= asked(visit)
    text = as_mara.get(page(visit)).content.decode()
    assert asked_on()["chest_now"].ask in text and "Because: drawn" in text


def test_it_preselects_nothing_and_lets_a_question_wait(visit, as_mara):
    say(visit, chest="unsure")
    assert " checked" not in as_mara.get(page(visit)).content.decode()
    assert as_mara.post(url(visit), sent(visit, chest_now="no")).status_code == 302
    row = DangerAnswer.objects.get(visit=visit, question="chest_now")
    assert row.answer == "no" and "chest_now" not in asked(visit) and "sweating_sick" in asked(visit)


def test_an_answer_stays_in_sight_and_can_be_changed(visit, as_mara):
    as_mara.post(url(visit), sent(visit, chest_now="no", chest_now_remark="Last in May"))
    assert "Last in May" in as_mara.get(page(visit)).content.decode()
    as_mara.post(url(visit), sent(visit, chest_now="unsure", chest_now_remark="Last in May"))
    assert DangerAnswer.objects.get(question="chest_now").answer == "unsure"
    assert "chest_now" not in asked(visit)


def test_an_answer_calls_for_the_next_question(blank, as_mara):
    recorded.answer_danger_screen(blank)
    assert "saddle_numb" not in asked(blank)
    say(blank, **{CAUDA: "unsure"})
    assert {"saddle_numb", "cauda_recent"} <= asked(blank)


def test_what_is_to_be_measured_is_named_with_the_way_to_enter_it(blank, as_mara):
    recorded.answer_danger_screen(blank, fever="yes")
    assert "vital:temperature" in asked(blank)
    text = as_mara.get(page(blank)).content.decode()
    assert "Measure or look" in text and "emperature" in text
    assert 'name="vital:temperature"' not in text


def test_a_remark_without_its_answer_is_not_thrown_away(visit, as_mara):
    response = as_mara.post(url(visit), sent(visit, chest_now="", chest_now_remark="since Sunday"))
    text = response.content.decode()
    assert response.status_code == 422
    assert "since Sunday" in text and 'href="#id_chest_now"' in text and "Choose yes, no or not sure" in text
    assert not DangerAnswer.objects.filter(question="chest_now").exists()


def test_of_two_who_answer_at_once_the_second_sees_both(visit, as_mara, tom, client):
    client.force_login(tom)
    mine, toms = sent(visit, chest_now="yes"), sent(visit, chest_now="no")
    as_mara.post(url(visit), mine)
    response = client.post(url(visit), toms)
    assert response.status_code == 409
    assert [clash[1:] for clash in response.context["page"].clashes] == [("Yes", "No")]
    assert DangerAnswer.objects.get(question="chest_now").answer == "yes"
    client.post(url(visit), {**toms, "state": response.context["page"].form["state"].value()})
    assert DangerAnswer.objects.get(question="chest_now").answer == "no"


def test_the_service_takes_no_other_question_and_no_other_answer(visit, mara):
    state = state_of_answers(visit)
    for answers in ({"chest": ("no", "")}, {"made_up": ("no", "")}, {"chest_now": ("maybe", "")}):
        with pytest.raises(ValueError, match="no answer"):
            services.answer(who=mara, visit=visit, state=state, answers=answers)
    with pytest.raises(Stale):
        services.answer(who=mara, visit=visit, state="0" * 16, answers={"chest_now": ("no", "")})


def test_what_was_typed_for_a_question_comes_back(visit, mara, as_mara):
    key = services.answers_draft(visit)
    Draft.objects.create(user=mara, key=key, data={"chest_now_remark": ["half a sent"]})
    assert "half a sent" in as_mara.get(page(visit)).content.decode()
    as_mara.post(url(visit), sent(visit, chest_now="no", chest_now_remark="half a sentence"))
    assert not Draft.objects.filter(key=key).exists()
    assert AuditEntry.objects.get(action="answered questions about danger").detail == {
        "changed": ["chest_now"]
    }


def test_a_signed_visit_keeps_its_answers(visit, as_mara):
    type(visit).objects.filter(pk=visit.pk).update(signed_at=visit.started_at)
    assert as_mara.post(url(visit), sent(visit, chest_now="yes")).status_code == 403
    text = as_mara.get(page(visit)).content.decode()
    assert "data-draft" not in text and "The visit is signed" in text


def test_no_sign_is_said_only_of_what_was_answered_while_questions_are_open(blank, as_mara):
    recorded.answer_danger_screen(blank)
    recorded.draw(blank, recorded.SHOULDER_ACHE)
    assert state_of(blank).to_ask and not state_of(blank).flags
    text = as_mara.get(page(blank)).content.decode()
    assert "raised by what was answered so far; questions below are open" in text
    for item in [item for group in state_of(blank).to_ask for item in group.items]:
        say(blank, **{item.key: "no"})
    assert not state_of(blank).to_ask
    text = as_mara.get(page(blank)).content.decode()
    assert "raised by what was asked, drawn and found" in text
