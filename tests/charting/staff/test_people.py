"""An owner says who works here and what they may; it counts at once, and somebody always owns the practice.

OWASP ASVS 5.0: 6.4.1 (first passwords), 7.4.2 (who is shut out is out), 7.4.5 (ending sessions of others),
8.3.2 (rights apply at once). The last owner: common practice.
"""

import re

import pytest

from charting.audit.models import AuditEntry
from charting.staff.models import User
from charting.staff.people import said_of
from charting.staff.people_forms import MemberForm
from tests.charting import recorded
from tests.charting.people import signed_in

NEW = {"username": "jon", "first_name": "Jon", "last_name": "Falk", "role": "clinician", "where": "every"}


def as_typed(user: User, **changed) -> dict:
    values = {**MemberForm.values_of(said_of(user)), **changed}
    return {name: value for name, value in values.items() if value not in (False, None)}


def password_on(page) -> str:
    return re.search(r'class="secret"[^>]*>([^<]+)<', page.content.decode()).group(1)


def test_somebody_taken_on_signs_in_with_a_password_shown_once_and_chooses_another_first(as_vera, client):
    password = password_on(as_vera.post("/staff/new/", NEW))
    jon = User.objects.get(username="jon")
    assert jon.must_change_password and jon.practice.name == "Lindenhof Practice"
    assert password.encode() not in as_vera.get(f"/staff/{jon.pk}/").content
    client.post("/sign-in/", {"username": "jon", "password": password})
    assert client.get("/patients/").headers["Location"].startswith("/account/password/")


def test_the_same_sent_twice_takes_on_one_person_whose_last_password_opens(as_vera, client):
    first, second = (password_on(as_vera.post("/staff/new/", NEW)) for _ in range(2))
    assert User.objects.filter(username="jon").count() == 1 and first != second
    assert not client.login(username="jon", password=first) and client.login(username="jon", password=second)


def test_what_was_typed_stands_in_the_form_with_what_is_to_be_mended(as_vera, mara):
    page = as_vera.post("/staff/new/", {**NEW, "username": mara.username, "title": "Osteopath"})
    assert page.status_code == 422 and b"Osteopath" in page.content and b"already exists" in page.content
    page = as_vera.post("/staff/new/", {**NEW, "role": "desk", "is_trainee": "on"})
    assert page.status_code == 422 and b"Only a clinician" in page.content
    assert not User.objects.filter(username="jon").exists()


def test_a_right_taken_away_is_gone_at_the_next_request(as_vera, as_mara, mara, visit):
    assert as_mara.get(f"/visits/{visit.pk}/").status_code == 200
    assert as_vera.post(f"/staff/{mara.pk}/", as_typed(mara, role="desk")).status_code == 302
    assert as_mara.get(f"/visits/{visit.pk}/").status_code == 404


def test_two_owners_at_one_person_see_both_what_they_said(as_vera, mara):
    typed = as_typed(mara, title="Osteopath")
    as_vera.post(f"/staff/{mara.pk}/", as_typed(mara, is_trainee="on"))
    page = as_vera.post(f"/staff/{mara.pk}/", typed)
    mara.refresh_from_db()
    assert page.status_code == 409 and b"Somebody else saved this meanwhile" in page.content
    assert mara.is_trainee and mara.title == "Physiotherapist" and b"Osteopath" in page.content


def test_the_last_owner_neither_leaves_the_role_nor_is_shut_out(as_vera, vera, mara, practice):
    page = as_vera.post(f"/staff/{vera.pk}/", as_typed(vera, last_name="Graf", role="desk"))
    assert page.status_code == 422 and b"Somebody has to own the practice" in page.content
    second = recorded.member(practice, "lene", last_name="Holm", owns_practice=True)
    typed = as_typed(vera, last_name="Graf", role="desk")
    assert as_vera.post(f"/staff/{vera.pk}/", typed).status_code == 302
    as_lene = signed_in(second)
    assert as_lene.post(f"/staff/{second.pk}/shut-out/").status_code == 422
    vera.refresh_from_db()
    assert vera.role == "desk" and User.objects.get(pk=second.pk).is_active


def test_who_is_shut_out_is_out_at_the_next_request_and_comes_back_with_a_first_password(
    as_vera, as_mara, mara, client
):
    as_vera.post(f"/staff/{mara.pk}/shut-out/")
    assert as_mara.get("/patients/").headers["Location"].startswith("/sign-in/")
    assert not client.login(username="mara", password=recorded.PASSWORD)
    assert client.login(username="mara", password=password_on(as_vera.post(f"/staff/{mara.pk}/let-in/")))


def test_a_new_first_password_and_a_sign_out_end_every_session(as_vera, mara):
    for address in ("first-password", "sign-out"):
        theirs = signed_in(User.objects.get(pk=mara.pk))
        as_vera.post(f"/staff/{mara.pk}/{address}/")
        assert theirs.get("/patients/").headers["Location"].startswith("/sign-in/"), address


@pytest.mark.parametrize("at_a_time", [1, 9])
def test_the_list_takes_as_many_queries_for_nine_as_for_one(
    as_vera, practice, at_a_time, django_assert_max_num_queries
):
    site = recorded.site(practice, "By the Lake")
    for number in range(at_a_time):
        recorded.member(practice, f"m{number}", every_site=False).sites.add(site)
    with django_assert_max_num_queries(8):
        assert b"By the Lake" in as_vera.get("/staff/").content


def test_the_trail_says_what_was_changed_and_no_name(as_vera, mara):
    as_vera.post(f"/staff/{mara.pk}/", as_typed(mara, last_name="Quill", is_trainee="on"))
    row = AuditEntry.objects.filter(action="changed rights").get()
    assert row.detail == {"changed": ["last_name", "is_trainee"], "is_trainee": True}


def test_people_of_another_practice_are_not_there(as_vera, ines):
    assert as_vera.get(f"/staff/{ines.pk}/").status_code == 404
    assert as_vera.post(f"/staff/{ines.pk}/shut-out/").status_code == 404
    assert User.objects.get(pk=ines.pk).is_active
