"""Who did what can be read and examined: 45 CFR 164.312(b); OWASP ASVS 5.0 16.2.1 (when, where, who)."""

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from charting.audit.models import AuditEntry
from charting.audit.services import record_look
from tests.charting.people import signed_in
from tests.guards import lifted


def read(user, **wanted):
    return signed_in(user).get(reverse("log"), wanted)


def rows(answer):
    return [line.entry for line in answer.context["page"].lines]


@pytest.fixture
def looked(mara, tom, anna, blank):
    record_look(who=mara, at=anna, as_="opened chart")
    record_look(who=tom, at=blank, as_="opened visit")
    record_look(who=tom, at=tom, as_="signed in")


def test_owner_and_auditor_read_it_and_nobody_else(looked, vera, ada, mara, poll, ines):
    assert [read(user).status_code for user in (vera, ada)] == [200, 200]
    assert [read(user).status_code for user in (mara, poll, ines)] == [403, 403, 403]


def test_it_tells_who_when_what_about_which_record_and_no_name_of_a_patient(looked, ada, anna):
    shown = read(ada).content.decode()
    for words in ("Mara Steiner", "opened chart", f"record {anna.record_number}"):
        assert words in shown
    assert "Keller" not in shown


def test_it_shows_nothing_of_another_practice(looked, vera, ines):
    record_look(who=ines, at=ines, as_="signed in elsewhere")
    assert "signed in elsewhere" not in read(vera).content.decode()


def test_it_is_narrowed_by_person_action_day_and_record(looked, vera, tom, anna, blank):
    today = AuditEntry.objects.latest("pk").at.astimezone(vera.practice.zone).date()
    assert {row.actor for row in rows(read(vera, member=tom.pk))} == {"Tom Berg"}
    assert {row.action for row in rows(read(vera, action="opened visit"))} == {"opened visit"}
    assert rows(read(vera, day=today.isoformat())) and not rows(read(vera, day="2001-01-01"))
    about = rows(read(vera, record=str(anna.record_number)))
    assert {row.object_id for row in about} == {str(anna.pk), str(blank.pk)}
    assert [row.action for row in rows(read(vera, record=str(blank.pk)))] == ["opened visit"]
    assert not rows(read(vera, record="999999"))


def test_a_day_that_is_none_is_named_and_nothing_typed_is_lost(looked, vera):
    answer = read(vera, day="yesterday", record="1042")
    assert answer.status_code == 422
    assert "2026-05-04" in answer.content.decode() and 'value="1042"' in answer.content.decode()


def test_reading_it_is_written_down(looked, vera):
    read(vera)
    last = AuditEntry.objects.order_by("pk").last()
    assert (last.action, last.actor_id) == ("read log", vera.pk)


def test_its_pages_follow_each_other_without_gap_and_cost_the_same_queries(looked, vera, anna):
    for _ in range(220):
        record_look(who=vera, at=anna)
    with CaptureQueriesContext(
        connection,
    ) as first:
        page = read(vera)
    seen = [row.seq for row in rows(page)]
    with CaptureQueriesContext(connection) as second:
        page = signed_in(vera).get(f"{reverse('log')}?{page.context['page'].older}")
    seen += [row.seq for row in rows(page)]
    assert len(seen) == 200
    assert seen == list(range(seen[0], seen[0] - 200, -1))
    assert abs(len(first) - len(second)) <= 3 and len(first) < 40


def test_it_says_loudly_that_it_was_changed(looked, vera):
    with lifted(connection), connection.cursor() as cursor:
        cursor.execute("UPDATE charting_auditentry SET actor = 'Nobody' WHERE action = 'opened chart'")
    assert "does not hold" in read(vera).content.decode()
