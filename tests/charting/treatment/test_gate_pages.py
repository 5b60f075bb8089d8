"""The pages of gates, late advice and needles that differ: what stands first, and nothing typed is lost."""

import html

import pytest

from charting.drafts.models import Draft
from charting.history.models import StandingFact
from charting.treatment import gates
from charting.treatment.models import GateOverride, LateAdvice, NeedleIncident
from charting.treatment.where import Where
from tests.charting import recorded
from tests.charting.people import signed_in
from tests.charting.recorded import NEEDLES

AT = Where("rhomboidei", "right")


@pytest.fixture
def fears(visit):
    recorded.agree(visit, "needling", "upper_back")
    recorded.asked_before_needles(visit, needle_reaction="yes")
    return visit


def url(visit, page):
    return f"/visits/{visit.pk}/treatment/{page}/"


def text_of(response):
    return html.unescape(response.content.decode())


def sent(visit, **others):
    stop = gates.stops_in(gates.grounds_of(visit), AT)[0]
    return {"gate": stop.id, "state": gates.state_of(stop), "reason": "Wants it.", **others}


def in_order(text, *words):
    places = [text.index(each) for each in words]
    return places == sorted(places)


def test_what_lies_under_the_needle_stands_before_the_stops(fears, as_mara):
    text = text_of(as_mara.get(url(fears, "gates/rhomboidei.right")))
    shown = ("At risk under the needle", "Lung and pleura:", "Fear of needles", "at most 19 mm", "no proof")
    assert in_order(text.lower(), *(each.lower() for each in shown))


def test_it_stands_before_every_field_of_an_entry(fears, as_mara):
    text = text_of(as_mara.get(f"/visits/{fears.pk}/treatment/?place=rhomboidei.right&technique=needling"))
    assert in_order(text, 'id="form-title"', "Lung and pleura:", "Fear of needles", 'name="gauge_mm"')


def test_a_reason_is_recorded_and_shown(fears, as_mara):
    answer = as_mara.post(url(fears, "gates/rhomboidei.right"), sent(fears))
    assert answer.status_code == 302 and answer.url == url(fears, "gates/rhomboidei.right")
    text = text_of(as_mara.get(answer.url))
    assert "Gone past, with a reason" in text and "Wants it." in text and "Mara Steiner" in text


def test_without_a_reason_nothing_is_recorded(fears, as_mara):
    answer = as_mara.post(url(fears, "gates/rhomboidei.right"), sent(fears, reason=" "))
    assert answer.status_code == 422 and "Say why" in text_of(answer)
    assert not GateOverride.objects.exists()


def test_a_gate_that_changed_meanwhile_is_shown_with_what_was_typed(fears, as_mara, mara):
    typed = sent(fears)
    said = {"visit": fears, "confirmed_by": mara, "patient": fears.patient}
    StandingFact.objects.create(key="needle_reaction", value="unsure", **said)
    answer = as_mara.post(url(fears, "gates/rhomboidei.right"), typed)
    text = text_of(answer)
    assert answer.status_code == 409 and "Wants it." in text and "not sure" in text
    again = as_mara.post(url(fears, "gates/rhomboidei.right"), sent(fears))
    assert again.status_code == 302


def test_what_was_typed_for_a_stop_that_holds_no_more_is_not_lost(fears, as_mara, mara):
    typed = sent(fears)
    said = {"visit": fears, "confirmed_by": mara, "patient": fears.patient}
    StandingFact.objects.create(key="needle_reaction", value="no", **said)
    answer = as_mara.post(url(fears, "gates/rhomboidei.right"), typed)
    assert answer.status_code == 409
    assert "holds no more" in text_of(answer) and "Wants it." in text_of(answer)


def test_a_half_typed_reason_comes_back(fears, as_mara, mara):
    key = f"gate:{fears.pk}:needle_reaction:."
    Draft.objects.create(user=mara, key=key, data={"reason": ["Half a reas"], "state": ["0" * 16]})
    text = text_of(as_mara.get(url(fears, "gates/rhomboidei.right")))
    assert "Half a reas" in text and sent(fears)["state"] in text


def test_nobody_is_offered_to_go_past_what_nobody_may(visit, as_mara):
    recorded.asked_before_needles(visit)
    visit.story_answers.create(key="decides_self", value="no")
    text = text_of(as_mara.get(url(visit, "gates/rhomboidei.right")))
    assert "Nobody can go past this." in text and "Go past it" not in text


def test_a_manager_reads_the_gates_and_goes_past_none(fears, vera):
    text = text_of(signed_in(vera).get(url(fears, "gates/rhomboidei.right")))
    assert "Fear of needles" in text and "Go past it" not in text


@pytest.mark.parametrize("place", ["nothing.right", "rhomboidei", "rhomboidei.up", "area:neck", "whole"])
def test_what_is_no_muscle_of_one_side_has_no_page(fears, as_mara, place):
    assert as_mara.get(url(fears, f"gates/{place}")).status_code == 404


def test_late_advice_begins_with_the_words_of_the_file_and_nothing_ticked(visit, as_mara):
    text = text_of(as_mara.get(url(visit, "late-advice")))
    assert "two days" in text and "your local emergency number" in text
    assert (
        'value="yes"' in text
        and "checked" not in text.split("Advice about late symptoms")[1].split("Source")[0]
    )


def test_late_advice_is_kept_as_it_was_said(visit, as_mara, mara):
    typed = {"words": "Short breath: call at once.", "call": "112", "understood": "no"}
    assert as_mara.post(url(visit, "late-advice"), typed).status_code == 302
    row = LateAdvice.objects.get()
    assert (row.words, row.call, row.understood, row.given_by) == (typed["words"], "112", False, mara)
    assert "not understood" in text_of(as_mara.get(url(visit, "late-advice")))


def test_late_advice_without_an_answer_comes_back_as_typed(visit, as_mara):
    answer = as_mara.post(url(visit, "late-advice"), {"words": "Short breath: call.", "call": "112"})
    assert answer.status_code == 422 and "Short breath: call." in text_of(answer)
    assert not LateAdvice.objects.exists()


def test_an_incident_is_told_and_the_page_says_which_needles(visit, as_mara):
    recorded.treat(visit, "needling", "soleus.right", needles={**NEEDLES, "count_out": 2})
    page = as_mara.get(url(visit, "needles"))
    assert "Soleus, right: 3 in, 2 out" in text_of(page)
    state = page.context["page"].form["state"].value()
    typed = {"state": state, "words": "One short.", "done": "In the towel.", "told_patient": "yes"}
    half = as_mara.post(url(visit, "needles"), {**typed, "done": ""})
    assert half.status_code == 422 and "One short." in text_of(half)
    assert as_mara.post(url(visit, "needles"), typed).status_code == 302
    assert NeedleIncident.objects.get().words == "One short."


def test_counts_that_changed_meanwhile_are_shown_with_what_was_typed(visit, as_mara):
    row = recorded.treat(visit, "needling", "soleus.right", needles={**NEEDLES, "count_out": 2})
    state = as_mara.get(url(visit, "needles")).context["page"].form["state"].value()
    type(row).objects.filter(pk=row.pk).update(needles={**NEEDLES, "count_out": 1})
    typed = {"state": state, "words": "One short.", "done": "In the towel.", "told_patient": "yes"}
    answer = as_mara.post(url(visit, "needles"), typed)
    assert answer.status_code == 409 and "One short." in text_of(answer) and "3 in, 1 out" in text_of(answer)


def test_counts_that_became_equal_meanwhile_leave_what_was_typed(visit, as_mara):
    row = recorded.treat(visit, "needling", "soleus.right", needles={**NEEDLES, "count_out": 2})
    state = as_mara.get(url(visit, "needles")).context["page"].form["state"].value()
    type(row).objects.filter(pk=row.pk).update(needles=NEEDLES)
    typed = {"state": state, "words": "One short.", "done": "In the towel.", "told_patient": "yes"}
    answer = as_mara.post(url(visit, "needles"), typed)
    assert answer.status_code == 409
    assert "What you typed, not saved" in text_of(answer) and "In the towel." in text_of(answer)
