"""What stands with a person of two records: where they disagree the graver counts, until it is asked anew."""

import pytest

from charting.history.models import StandingFact
from charting.history.queries import questions_of, standing_in, standing_of
from charting.history.services import save_answers
from charting.merging import apart, services
from charting.patients.models import Patient
from charting.visits.models import Visit
from tests.charting.merging.conftest import known

THINNER, WHICH = "anticoagulant", "anticoagulant_which"


def facts(patient):
    return {fact.subject.item.key: fact for fact in standing_of(Patient.objects.get(pk=patient.pk))}


@pytest.fixture
def disputed(blank, her_visit, merged):
    """Anna said no under one record, later than yes under the other."""
    known(her_visit, THINNER, "yes")
    known(blank, THINNER, "no")
    merged()
    return Visit.objects.get(pk=blank.pk)


def test_the_graver_answer_counts_though_it_is_the_older_one(anna, disputed):
    fact = facts(anna)[THINNER]
    assert (fact.value, fact.against) == ("yes", ("no",))
    assert fact.is_old(fact.confirmed_at)
    assert standing_in(disputed)[THINNER].value == "yes"


@pytest.mark.parametrize("said", ["no", "yes"])
def test_it_is_settled_by_asking_again_whatever_the_answer(anna, disputed, mara, said):
    """Also by the answer that this open visit had confirmed before the records were merged."""
    told = {"version": 0, "answers": {THINNER: said}, "told_by": "patient"}
    save_answers(who=mara, visit=disputed, **told)
    fact = facts(anna)[THINNER]
    assert (fact.value, fact.against) == (said, ())


def test_nothing_that_is_disputed_is_chosen_beforehand(disputed):
    questions = questions_of(disputed)
    assert questions.disputed == {THINNER}
    assert questions.value_of(questions.items[THINNER]) is None


def test_all_of_this_is_still_so_does_not_settle_it(as_mara, disputed):
    page = as_mara.get(f"/visits/{disputed.pk}/story/").content.decode()
    shown = page.split('name="shown" value="')[1].split('"')[0]
    said = {"version": 0, "shown": shown, "same": "on"}
    again = as_mara.post(f"/visits/{disputed.pk}/story/", said)
    assert again.status_code == 422 and "Two records of this person disagree" in again.content.decode()
    assert StandingFact.objects.filter(key=THINNER).count() == 2


def test_the_strip_above_every_page_says_so(as_mara, anna, disputed):
    page = as_mara.get(f"/patients/{anna.pk}/").content.decode()
    assert "two records disagree: ask again" in page and "the other says no" in page


def test_two_names_of_one_medicine_are_a_dispute_too(anna, blank, her_visit, merged):
    for visit, which in ((her_visit, "warfarin"), (blank, "apixaban")):
        known(visit, THINNER, "yes")
        known(visit, WHICH, which)
    merged()
    fact = facts(anna)[THINNER]
    assert "apixaban" in fact.words and "warfarin" in fact.against[0]


def test_what_only_one_record_knows_or_both_say_alike_is_no_dispute(anna, blank, her_visit, merged):
    known(her_visit, THINNER, "yes")
    known(blank, "pacemaker", "no")
    known(her_visit, "pacemaker", "no")
    merged()
    assert facts(anna)[THINNER].value == "yes"
    assert not any(fact.against for fact in facts(anna).values())


def test_a_signed_visit_knows_what_was_known_in_it_and_no_more(anna, blank, her_visit, mara, merged):
    from django.utils import timezone

    known(her_visit, THINNER, "yes")
    known(blank, THINNER, "no")
    Visit.objects.filter(pk__in=(blank.pk, her_visit.pk)).update(signed_at=timezone.now())
    merged()
    for pk, said in ((blank.pk, "no"), (her_visit.pk, "yes")):
        row = standing_in(Visit.objects.get(pk=pk))[THINNER]
        assert (row.value, row.against) == (said, ())


def test_after_taking_apart_each_has_the_own_answers_again_all_to_be_confirmed(
    anna, twice, blank, her_visit, mara, merged
):
    known(her_visit, THINNER, "yes")
    known(blank, THINNER, "no")
    row = merged()
    apart.unmerge(who=mara, merge=row, choices={}, reason="Two cousins.")
    for patient, said in ((anna, "no"), (twice, "yes")):
        fact = facts(patient)[THINNER]
        assert (fact.value, fact.against, fact.is_doubted) == (said, (), True)


def test_an_answer_given_while_they_were_one_goes_with_its_visit(anna, twice, mara, merged):
    row = merged()
    between = Visit.objects.create(patient=anna, clinician=mara)
    known(between, THINNER, "yes")
    apart.unmerge(who=mara, merge=row, choices={f"visits:{between.pk}": services.GONE}, reason="Two cousins.")
    assert THINNER not in facts(anna)
    assert facts(twice)[THINNER].is_doubted
