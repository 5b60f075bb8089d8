"""What is to be followed up stands on the day page until somebody says how it ended."""

from datetime import date, timedelta

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from charting.flags import services
from charting.flags.models import FollowUp
from charting.flags.queries import open_follow_ups
from tests.charting import recorded
from tests.charting.flags.conftest import decide, first_flag, say


def due(mara, visit, on, **others):
    return decide(mara, visit, first_flag(visit).id, follow_up_on=on, **others)


def url(decision):
    return f"/visits/{decision.visit_id}/flags/follow-ups/{decision.pk}/"


def today(visit):
    return timezone.localdate(timezone=visit.patient.practice.zone)


def listed(client):
    text = client.get("/").content.decode()
    return text[text.index("To follow up") :].split("</section>")[0] if "To follow up" in text else ""


@pytest.mark.parametrize(("days", "words"), [(-3, "overdue since"), (0, ">today<"), (5, ">due ")])
def test_the_day_page_says_who_what_and_when(raised, mara, as_mara, days, words):
    made = due(mara, raised, today(raised) + timedelta(days=days))
    rows = listed(as_mara)
    assert "Anna Keller" in rows and "Cauda equina" in rows and words in rows and url(made) in rows


def test_it_is_no_matter_of_who_opens_no_chart(raised, mara, as_poll, as_ines, as_vera):
    due(mara, raised, today(raised))
    assert listed(as_poll) == listed(as_ines) == ""
    assert "Anna Keller" in listed(as_vera)


def test_it_is_closed_in_words_and_leaves_the_day_page(raised, mara, as_mara):
    made = due(mara, raised, today(raised))
    assert as_mara.post(url(made), {"words": "Seen at the hospital; sent home."}).status_code == 302
    assert listed(as_mara) == ""
    row = FollowUp.objects.get()
    assert (row.decision, row.done_by, row.words) == (made, mara, "Seen at the hospital; sent home.")
    assert "Seen at the hospital" in as_mara.get(f"/visits/{raised.pk}/flags/").content.decode()


def test_without_words_it_stays_open(raised, mara, as_mara):
    made = due(mara, raised, today(raised))
    response = as_mara.post(url(made), {"words": "  "})
    assert response.status_code == 422 and "Say how it ended." in response.content.decode()
    with pytest.raises(ValueError, match="words"):
        services.follow_up(who=mara, decision=made, words=" ")
    assert not FollowUp.objects.exists()


def test_it_can_still_be_closed_when_the_visit_is_signed(raised, mara, as_mara):
    made = due(mara, raised, today(raised))
    type(raised).objects.filter(pk=raised.pk).update(signed_at=raised.started_at)
    assert as_mara.post(url(made), {"words": "Well again."}).status_code == 302
    assert FollowUp.objects.count() == 1


def test_a_second_tap_adds_nothing_and_another_person_reads_who_closed_it(raised, mara, as_mara, tom, client):
    made = due(mara, raised, today(raised))
    for _ in range(2):
        assert as_mara.post(url(made), {"words": "Well again."}).status_code == 302
    client.force_login(tom)
    response = client.post(url(made), {"words": "I reached nobody."})
    text = response.content.decode()
    assert response.status_code == 409
    assert "Mara Steiner closed this already" in text and "I reached nobody." in text
    assert FollowUp.objects.count() == 1


def test_the_manager_reads_and_does_not_close(raised, mara, as_vera):
    made = due(mara, raised, today(raised))
    assert as_vera.get(url(made)).status_code == 200
    assert as_vera.post(url(made), {"words": "Done."}).status_code == 403


def test_a_later_decision_takes_it_over_only_with_a_day_of_its_own(raised, mara, vera):
    first = due(mara, raised, date(2030, 5, 4))
    decide(mara, raised, first.flag)
    assert list(open_follow_ups(mara)) == [first]
    second = decide(mara, raised, first.flag, follow_up_on=date(2030, 6, 1))
    assert list(open_follow_ups(mara)) == [second]


def test_a_decision_without_a_day_is_no_follow_up(raised, mara, as_mara):
    made = decide(mara, raised, first_flag(raised).id)
    assert as_mara.get(url(made)).status_code == 404
    assert listed(as_mara) == ""


def test_the_follow_up_of_another_visit_is_not_found_here(raised, mara, as_mara, anna):
    made = due(mara, raised, today(raised))
    other = type(raised).objects.create(patient=anna, clinician=mara)
    assert as_mara.get(f"/visits/{other.pk}/flags/follow-ups/{made.pk}/").status_code == 404


def test_the_day_page_takes_the_same_queries_for_one_as_for_many(raised, mara, as_mara, practice):
    def queries():
        with CaptureQueriesContext(connection) as seen:
            as_mara.get("/")
        return len(seen)

    due(mara, raised, today(raised))
    queries()
    one = queries()
    for number in range(2, 8):
        visit = type(raised).objects.create(patient=recorded.patient(practice, number), clinician=mara)
        say(visit, fever="yes")
        due(mara, visit, today(visit))
    assert queries() == one
