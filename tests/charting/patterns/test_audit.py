"""Every change of a pattern leaves one audit row in its own transaction: both are there, or neither."""

import uuid

import pytest
from django.apps import apps
from django.db import transaction

from charting.audit.models import AuditEntry
from charting.patterns import carrying, services
from charting.patterns.plans import Plan
from tests.charting import recorded
from tests.charting.patterns import drawn


def begin(who, row, file):
    drawn.begun(who, "own_other", "Other")


def begin_again(who, row, file):
    drawn.begun(who, as_it_stands=True)


def draw(who, row, file):
    sent = [recorded.stroke(1, *drawn.CORE)]
    services.save_events(who=who, drawing=_open(who, row), sent=sent)


def keep(who, row, file):
    services.keep(who=who, drawing=_open(who, row), after=1, **drawn.SAID)


def out_of_use(who, row, file):
    services.set_use(who=who, row=row, in_use=False, reason="Not seen again.")


def bring(who, row, file):
    carrying.bring(who=who, name="own.json", text=drawn.a_file())


def import_(who, row, file):
    carrying.import_file(who=who, file=file, seen=Plan.of(file.practice, file.text, file.name).key)


CHANGES = (begin, begin_again, draw, keep, out_of_use, bring, import_)
EVERY = pytest.mark.parametrize("act", CHANGES, ids=lambda act: act.__name__)


def _open(who, row):
    return services.queries.drawings_of(who).exclude(versions=row).get()


@pytest.fixture
def row(writer):
    return drawn.kept(writer)


@pytest.fixture
def file(writer, row):
    drawing = drawn.begun(writer)
    drawn.draw(writer, drawing)
    return carrying.bring(who=writer, name="own.json", text=drawn.a_file())


def everything():
    tables = apps.get_app_config("charting").get_models()
    return {table.__name__: list(table.objects.order_by("pk").values()) for table in tables}


@EVERY
def test_it_writes_one_row_for_a_change(act, writer, row, file):
    before = AuditEntry.objects.count()
    act(writer, row, file)
    rows = list(AuditEntry.objects.order_by("pk")[before:])
    assert len(rows) == 1
    assert (rows[0].actor, rows[0].practice_id) == ("Mara Steiner", writer.practice_id)


@EVERY
def test_it_changes_nothing_when_the_row_can_not_be_written(act, writer, row, file, monkeypatch):
    def fails(**what):
        raise RuntimeError("no room on the disk")

    before = everything()
    for module in (services, carrying):
        monkeypatch.setattr(module, "record", fails)
    with pytest.raises(RuntimeError, match="no room"), transaction.atomic():
        act(writer, row, file)
    assert everything() == before


def test_a_right_that_is_granted_is_on_record(vera, mara):
    before = AuditEntry.objects.count()
    services.grant(who=vera, user=mara, writes=True)
    services.grant(who=vera, user=mara, writes=True)
    services.grant(who=vera, user=mara, writes=False)
    rows = list(AuditEntry.objects.order_by("pk")[before:])
    assert [(one.action, one.object_id) for one in rows] == [
        ("granted right", str(mara.pk)),
        ("took right back", str(mara.pk)),
    ]


def test_a_drawing_begins_once_for_the_same_id(writer):
    told = {"id": uuid.uuid4(), "pattern": "own_other", "name": "Other", "as_it_stands": False}
    before = AuditEntry.objects.count()
    assert services.begin(who=writer, **told) == services.begin(who=writer, **told)
    assert AuditEntry.objects.count() == before + 1
