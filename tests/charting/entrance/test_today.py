"""The day: what is open, for who may open it and for who may only hand the device over."""

from charting.audit.models import AuditEntry
from tests.charting import recorded


def test_it_lists_the_open_visits_of_the_practice(blank, as_mara):
    page = as_mara.get("/").content.decode()
    assert "Anna Keller" in page and f"/visits/{blank.pk}/" in page


def test_what_is_signed_is_no_longer_to_finish_but_still_at_hand(blank, as_mara):
    type(blank).objects.filter(pk=blank.pk).update(signed_at=blank.started_at)
    to_finish, signed = as_mara.get("/").content.decode().split("Signed last")
    assert "Anna Keller" not in to_finish and f"/visits/{blank.pk}/" in signed


def test_what_is_signed_is_no_matter_of_who_may_not_read_it(blank, as_poll):
    type(blank).objects.filter(pk=blank.pk).update(signed_at=blank.started_at)
    assert "Keller" not in as_poll.get("/").content.decode()


def test_it_leads_the_assistant_to_the_person_and_not_into_the_chart(blank, as_poll):
    page = as_poll.get("/").content.decode()
    assert f"/patients/{blank.patient_id}/" in page and f"/visits/{blank.pk}/hand-over/" in page
    assert f'href="/visits/{blank.pk}/"' not in page


def test_it_shows_nothing_of_another_practice(blank, as_ines):
    assert "Keller" not in as_ines.get("/").content.decode()


def test_it_searches_without_a_name_in_the_address(as_mara):
    page = as_mara.get("/").content.decode()
    search = page[page.index('role="search"') : page.index("</form>", page.index('role="search"'))]
    assert 'method="post"' in search


def test_it_writes_down_who_signed_in(mara, client):
    client.post("/sign-in/", {"username": "mara", "password": recorded.PASSWORD})
    assert AuditEntry.objects.get(action="signed in").actor_id == mara.pk


def test_signing_out_forgets_pages_and_leaves_what_a_board_could_not_send(as_mara):
    assert as_mara.post("/sign-out/").headers["Clear-Site-Data"] == '"cache"'
