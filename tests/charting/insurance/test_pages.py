"""The page of who pays: its groups, what is wrong, what two people typed at once, what was half typed."""

import uuid
from datetime import date

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from charting.drafts.services import keep
from charting.insurance import services
from charting.insurance.models import Authorisation, Claim, Payer, Policy
from charting.insurance.queries import cover_of
from tests.charting.insured import a_claim, a_payer, a_policy, an_authorisation

DAYS = ("injured_on", "referred_on", "plan_from", "plan_until")


def boxes(name, day=("", "", "")):
    return {f"{name}_{part}": said for part, said in zip(("day", "month", "year"), day, strict=True)}


def claim(**more):
    empty = {key: value for name in DAYS for key, value in boxes(name).items()}
    return {"version": "0", "claim_number": "CL-88", "cause": "work", **empty, **more}


@pytest.fixture
def url(episode):
    return reverse("insurance", args=[episode.pk])


def text_of(answer):
    return answer.content.decode()


def test_it_shows_every_group(as_mara, url):
    text = text_of(as_mara.get(url))
    titles = ("Payer and policy", "The injury", "Referral", "Work", "Plan of care", "Authorisations")
    assert [title for title in titles if f">{title}</h2>" in text] == list(titles)


def test_it_is_reached_from_the_page_of_the_person(as_mara, anna, url):
    assert f'href="{url}"' in text_of(as_mara.get(reverse("patient", args=[anna.pk])))


def test_the_desk_reaches_the_policies_and_not_the_chart(as_poll, anna, url):
    page = text_of(as_poll.get(reverse("patient", args=[anna.pk])))
    assert reverse("policies", args=[anna.pk]) in page
    assert url not in page


def test_it_keeps_what_was_typed(as_mara, url, episode):
    policy = a_policy(episode.patient)
    sent = claim(policy=policy.pk, **boxes("injured_on", ("5", "March", "2026")))
    assert as_mara.post(url, sent).status_code == 302
    cover = cover_of(episode)
    assert (cover.policy, cover.claim.cause, cover.claim.injured_on.isoformat()) == (
        policy,
        "work",
        "2026-03-05",
    )


def test_a_wrong_day_comes_back_as_it_was_typed_and_named(as_mara, url):
    answer = as_mara.post(url, claim(claim_number="CL-9", **boxes("referred_on", ("31", "April", "2026"))))
    text = text_of(answer)
    assert answer.status_code == 422
    assert "April 2026 has no day 31." in text
    assert 'value="CL-9"' in text
    assert Claim.objects.count() == 0


def test_an_injury_does_not_lie_ahead_and_a_plan_does_not_end_before_it_begins(as_mara, url):
    ahead = as_mara.post(url, claim(**boxes("injured_on", ("1", "1", "2199"))))
    assert "The day must not be in the future." in text_of(ahead)
    span = {**boxes("plan_from", ("4", "May", "2026")), **boxes("plan_until", ("3", "May", "2026"))}
    assert "The last day must not be before the first." in text_of(as_mara.post(url, claim(**span)))


def test_two_who_save_at_once_both_see_both(as_mara, url, episode, tom):
    services.save_claim(who=tom, episode=episode, version=0, claim_number="CL-77")
    answer = as_mara.post(url, claim())
    text = text_of(answer)
    assert answer.status_code == 409
    assert "CL-77" in text and "CL-88" in text
    assert "Accident or strain at work" in text
    assert as_mara.post(url, claim(version="1")).status_code == 302
    assert Claim.objects.get().claim_number == "CL-88"


def test_a_draft_comes_back_into_its_own_form(as_mara, url, episode, mara):
    keep(who=mara, key=services.authorisation_draft(episode), data={"number": ["A-77"]})
    text = text_of(as_mara.get(url))
    assert 'value="A-77"' in text
    assert "was brought back" in text
    sent = {"id": str(uuid.uuid4()), "number": "A-77", **boxes("valid_from"), **boxes("valid_until")}
    as_mara.post(reverse("insurance-authorise", args=[episode.pk]), sent)
    assert "was brought back" not in text_of(as_mara.get(url))


def test_it_tells_what_is_missing_and_where_it_goes(as_mara, url, episode, mara):
    a_claim(mara, episode, injured_on=None)
    text = text_of(as_mara.get(url))
    assert "The day it happened or began is missing." in text
    assert f'href="{url}#injury"' in text


def test_it_tells_how_many_visits_are_left_in_words(as_mara, url, episode, mara):
    an_authorisation(mara, episode, visits=1)
    assert "1 of 1 used: none left" in text_of(as_mara.get(url))


def test_an_authorisation_is_changed_and_a_clash_shows_both(as_mara, episode, mara):
    row = an_authorisation(mara, episode)
    url = reverse("insurance-authorisation", args=[episode.pk, row.pk])
    sent = {"version": "1", "number": "A-8", "visits": "9", **boxes("valid_from"), **boxes("valid_until")}
    assert as_mara.post(url, sent).status_code == 302
    again = as_mara.post(url, {**sent, "number": "A-9"})
    assert again.status_code == 409
    assert "A-8" in text_of(again) and "A-9" in text_of(again)
    assert Authorisation.objects.get().visits == 9


def test_a_manager_reads_the_plan_and_does_not_write_it(as_vera, url, episode, mara):
    a_claim(mara, episode)
    text = text_of(as_vera.get(url))
    assert "Full work as a packer" in text
    assert 'name="prior_function"' not in text
    assert as_vera.post(url, claim(version="1", claim_number="CL-9")).status_code == 302
    assert Claim.objects.get().prior_function.startswith("Full work as a packer")


def test_a_policy_added_on_the_way_leads_back(as_poll, as_mara, anna, url, episode):
    page = reverse("policies", args=[anna.pk])
    assert "Add a payer" in text_of(as_poll.get(page))
    payer = a_payer(anna.practice)
    days = {**boxes("began_on"), **boxes("ended_on")}
    sent = {"id": str(uuid.uuid4()), "payer": payer.pk, "number": "NM-1", "episode": str(episode.pk), **days}
    answer = as_mara.post(page, sent)
    assert answer.url == f"{url}#payer"
    as_mara.post(page, sent)
    assert Policy.objects.count() == 1


def test_a_payer_of_another_practice_is_not_offered(as_mara, anna, ines):
    other = a_payer(ines.practice, name="Far Away Fund")
    a_payer(anna.practice)
    page = reverse("policies", args=[anna.pk])
    assert "Far Away Fund" not in text_of(as_mara.get(page))
    sent = {"payer": other.pk, "number": "NM-1", **boxes("began_on"), **boxes("ended_on")}
    assert as_mara.post(page, sent).status_code == 422
    assert Policy.objects.count() == 0


def test_a_payer_is_added_once_and_changed(as_mara):
    sent = {
        "name": "Northlake Mutual",
        "units": "eight_minutes",
        "asks": ["clock", "referral"],
        "in_use": "on",
    }
    for _ in range(2):
        assert as_mara.post("/payers/", sent).status_code == 302
    row = Payer.objects.get()
    assert row.asks == ["clock", "referral"]
    taken = as_mara.post("/payers/", {**sent, "town": "Elsewhere"})
    assert "There is a payer of this name already" in text_of(taken)
    assert as_mara.post(f"/payers/{row.pk}/", {**sent, "version": "1", "asks": []}).status_code == 302
    clash = as_mara.post(f"/payers/{row.pk}/", {**sent, "version": "1"})
    assert clash.status_code == 409
    assert "Time in and out of each timed procedure" in text_of(clash)


def test_a_clinician_enters_the_own_number_and_not_that_of_a_colleague(as_mara, as_vera, mara, tom):
    url = reverse("registration-numbers")
    sent = {"whose": mara.pk, "shown": "PT 4711", "number": "PT 12"}
    assert as_mara.post(url, sent).status_code == 302
    mara.refresh_from_db()
    assert mara.registration == "PT 12"
    late = as_mara.post(url, {**sent, "number": "PT 13"})
    assert late.status_code == 422
    assert "it is PT 12 now" in text_of(late) and 'value="PT 13"' in text_of(late)
    assert as_mara.post(url, {"whose": tom.pk, "shown": "", "number": "1"}).status_code == 403
    assert as_vera.post(url, {"whose": tom.pk, "shown": "", "number": "1"}).status_code == 302


def test_it_costs_no_more_queries_for_more_lines(as_mara, url, episode, mara, queries):
    a_claim(mara, episode)
    first = queries(url)
    for number in range(4):
        an_authorisation(mara, episode, number=f"A-{number}")
        day = date(2026, 5, 4 + number)
        services.add_work_status(
            who=mara, episode=episode, status="none", percent=None, limits="", from_on=day
        )
    assert queries(url) == first


@pytest.fixture
def queries(as_mara):
    def counted(address):
        with CaptureQueriesContext(connection) as found:
            as_mara.get(address)
        return len(found)

    return counted
