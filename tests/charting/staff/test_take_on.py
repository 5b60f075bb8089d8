"""A practice begins at the command line: the first person opens it, further ones join it."""

import io

import pytest
from django.core.management import CommandError, call_command

from charting.audit.models import AuditEntry
from charting.management.commands import add_staff
from charting.staff.models import Practice, User

pytestmark = pytest.mark.django_db
GOOD = "three calm herons wade"


def add(monkeypatch, *, typed=(GOOD, GOOD), **changed):
    answers = iter(typed)
    monkeypatch.setattr(add_staff, "getpass", lambda prompt: next(answers))
    told = {"practice": "By the Mill", "username": "mara.l", "name": "Mara Anna Lind", "role": "clinician"}
    out = io.StringIO()
    call_command("add_staff", stdout=out, **{**told, **changed})
    return out.getvalue()


def test_the_first_person_opens_the_practice_and_can_sign_in(monkeypatch, client):
    assert "mara.l" in add(monkeypatch, time_zone="Europe/Zurich")
    user = User.objects.get(username="mara.l")
    assert (user.practice.name, user.practice.time_zone) == ("By the Mill", "Europe/Zurich")
    assert user.get_full_name() == "Mara Anna Lind"
    assert client.login(username="mara.l", password=GOOD)


def test_the_letterhead_and_the_registration_are_what_a_note_will_print(monkeypatch):
    add(
        monkeypatch,
        street="Mill Lane 2",
        town="Weirford",
        practice_registration="P-7",
        paper="letter",
        title="Physiotherapist",
        registration="PT-00417",
    )
    user = User.objects.select_related("practice").get(username="mara.l")
    practice = user.practice
    assert (practice.street, practice.town, practice.registration) == ("Mill Lane 2", "Weirford", "P-7")
    assert practice.paper == "letter"
    assert (user.title, user.registration) == ("Physiotherapist", "PT-00417")


def test_the_second_joins_the_same_practice(monkeypatch):
    add(monkeypatch)
    add(monkeypatch, username="tom.b", name="Tom Berg", role="desk")
    assert Practice.objects.get(name="By the Mill").staff.count() == 2


def test_opening_and_taking_on_are_written_down(monkeypatch):
    add(monkeypatch)
    practice = Practice.objects.get(name="By the Mill")
    rows = AuditEntry.objects.filter(practice_id=practice.pk).values_list("action", "actor")
    assert list(rows) == [("opened practice", "command line"), ("added staff", "command line")]


@pytest.mark.parametrize(
    ("wrong", "told"),
    [
        ({"typed": (GOOD, "another one, longer")}, "differ"),
        ({"typed": ("short", "short")}, "12 characters"),
        ({"time_zone": "Mill/Time"}, "IANA"),
        ({"username": "no good name"}, "valid username"),
    ],
)
def test_what_is_wrong_is_named_and_nothing_is_left_behind(monkeypatch, wrong, told):
    with pytest.raises(CommandError, match=told):
        add(monkeypatch, **wrong)
    assert not Practice.objects.filter(name="By the Mill").exists()
    assert not User.objects.filter(username=wrong.get("username", "mara.l")).exists()


def test_a_name_in_use_is_refused(monkeypatch):
    add(monkeypatch)
    with pytest.raises(CommandError, match="already exists"):
        add(monkeypatch)
    assert User.objects.filter(username="mara.l").count() == 1


def test_the_first_person_owns_the_practice_and_a_further_one_only_when_it_is_said(monkeypatch):
    """Common practice: somebody can give rights from the first day."""
    add(monkeypatch)
    add(monkeypatch, username="tom.b", name="Tom Berg", role="desk")
    add(monkeypatch, username="lea.k", name="Lea Kern", owner=True)
    owners = User.objects.filter(owns_practice=True).order_by("pk")
    assert [one.username for one in owners] == ["mara.l", "lea.k"]
    with pytest.raises(CommandError, match="auditor"):
        add(monkeypatch, username="ada.f", name="Ada Fink", role="auditor", owner=True)
