"""A record past its time goes whole; nothing else does. OWASP ASVS 5.0 14.2.7 (retention); 21 CFR
11.10 (e): the trail stays.
"""

from datetime import date

import pytest
from django.apps import apps
from django.core.exceptions import PermissionDenied
from django.core.management import CommandError, call_command
from django.db import DatabaseError, connection, transaction

from charting.audit.models import AuditEntry
from charting.audit.services import record_look
from charting.audit.verify import verify
from charting.drafts.services import keep
from charting.patients.models import Patient
from charting.retention import periods, queries
from charting.retention.models import Purge
from charting.retention.services import NotPurged, purge
from charting.visits.models import Visit
from tests.charting import recorded
from tests.charting.audit.test_every_change import CHANGES

LATER = date(2200, 1, 1)
# Texts and reasons of the practice itself, whatever a test wrote into them: nobody's record.
WORDS_OF_THE_PRACTICE = {"ConsentTextVersion", "TextBlock"}


def everything(*, but=()):
    tables = (model for model in apps.get_app_config("charting").get_models() if model.__name__ not in but)
    return {model.__name__: list(model.objects.order_by("pk").values()) for model in tables}


def gone(who, person, today=LATER):
    return purge(who=who, person=person, periods=periods.load(), reason="Ten years are over.", today=today)


@pytest.fixture
def signed_all(visit):
    Visit.objects.update(signed_at=visit.started_at)
    return visit


def test_nothing_of_the_person_is_left_in_any_table(blank, mara, anna, monkeypatch):
    """Every change there is was made on her record; a forgotten table shows by her name or an id."""
    for act in CHANGES:
        act(mara, blank)
    owner = recorded.member(anna.practice, "olga", role="owner")
    monkeypatch.setattr(queries, "_holds", lambda records: iter(()))
    people = list(Patient.objects.filter(practice=anna.practice))
    ids = {str(pk) for one in people for keys in queries.inside([one.pk]).values() for pk in keys}
    for person in people:
        if Patient.objects.filter(pk=person.pk, merged_into=None).exists():
            gone(owner, person)
    connection.check_constraints()
    left = everything(but=("AuditEntry", "Purge"))
    assert not left["Patient"] and not left["Visit"]
    words = str(left)
    assert [one for one in ids if len(one) == 36 and one in words] == []
    assert {name for name, rows in left.items() if "Keller" in str(rows)} <= WORDS_OF_THE_PRACTICE


def test_what_is_of_others_is_untouched(signed_all, mara, vera, anna):
    other = recorded.patient(anna.practice, number=2001)
    before = everything(but=("AuditEntry", "Purge"))
    recorded.whole_visit(other, mara)
    Visit.objects.filter(patient=other).update(signed_at=signed_all.started_at)
    gone(vera, other)
    after = everything(but=("AuditEntry", "Purge"))
    before["Patient"] = [row for row in before["Patient"] if row["id"] != other.pk]
    assert after == before


def test_what_stays_names_nobody_and_the_trail_holds(signed_all, mara, vera, anna):
    keep(who=mara, key=f"note:{signed_all.pk}", data={"plan": ["Pain of Keller"]})
    record_look(who=mara, at=anna, as_="opened chart")
    row = gone(vera, anna)
    last = AuditEntry.objects.order_by("pk").last()
    assert (last.action, last.object_id, last.actor_id) == ("purged record", str(row.pk), vera.pk)
    assert last.detail["sha256"] == row.sha256 and row.removed["charting_patient"] == 1
    assert Purge.objects.filter(finished_at=None).count() == 0
    assert AuditEntry.objects.filter(action="opened chart").count() == 1
    assert verify(anna.practice_id).holds
    assert "Keller" not in str(everything())


def test_a_row_that_never_changes_goes_with_a_purge_alone(signed_all, vera, anna):
    with pytest.raises(DatabaseError, match="append-only"), transaction.atomic():
        connection.cursor().execute("DELETE FROM charting_storedstroke")
    gone(vera, anna)
    other = recorded.whole_visit(recorded.patient(anna.practice, number=2001), signed_all.clinician)
    assert other.pk
    with pytest.raises(DatabaseError, match="append-only"), transaction.atomic():
        connection.cursor().execute("DELETE FROM charting_storedstroke")


def test_it_refuses_before_its_time_an_open_visit_and_who_is_no_owner(visit, mara, vera, anna):
    with pytest.raises(NotPurged, match="kept until"):
        gone(vera, anna, today=date(2030, 1, 1))
    with pytest.raises(NotPurged, match="a visit is not signed"):
        gone(vera, anna)
    with pytest.raises(PermissionDenied):
        gone(mara, anna)
    assert Patient.objects.filter(pk=anna.pk).exists() and not Purge.objects.exists()


def test_it_knows_nobody_of_another_practice(signed_all, anna):
    owner = recorded.member(recorded.practice("Elsewhere"), "olga", role="owner")
    with pytest.raises(NotPurged, match="no such record"):
        gone(owner, anna)


def test_the_command_lists_and_changes_nothing_until_it_is_told_to(
    signed_all, vera, anna, capsys, monkeypatch
):
    before = everything()
    call_command("purge_records", by="vera", record=[anna.record_number])
    told = capsys.readouterr().out
    assert "0 of 1 can go" in told and "Backups hold these records still" in told
    assert everything() == before
    command = "charting.management.commands.purge_records"
    monkeypatch.setattr(f"{command}._today", lambda owner: LATER)
    monkeypatch.setattr("builtins.input", lambda words: "yes")
    wanted = {"by": "vera", "record": [anna.record_number], "do": True, "reason": "Time is over."}
    with pytest.raises(CommandError, match="Not typed as shown"):
        call_command("purge_records", **wanted)
    monkeypatch.setattr("builtins.input", lambda words: "purge 1 records")
    monkeypatch.setattr(f"{command}.getpass", lambda words: "wrong")
    with pytest.raises(CommandError, match="Wrong password"):
        call_command("purge_records", **wanted)
    assert everything() == before
    monkeypatch.setattr(f"{command}.getpass", lambda words: recorded.PASSWORD)
    monkeypatch.setattr(f"{command}._empty_log", lambda: None)
    call_command("purge_records", **wanted)
    assert not Patient.objects.filter(pk=anna.pk).exists()


def test_the_command_takes_no_owner_who_is_none(mara, capsys):
    with pytest.raises(CommandError, match="no owner"):
        call_command("purge_records", by="mara")
