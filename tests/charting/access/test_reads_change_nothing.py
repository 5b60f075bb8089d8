"""Opening a page changes nothing, and every opened chart is on record."""

import pytest
from django.apps import apps

from charting.audit.models import AuditEntry
from tests.charting.addresses import ADDRESSES

PAGES = [each for each in ADDRESSES if each.verb == "GET"]
CHARTS = [each for each in PAGES if each.of]


def everything() -> dict[str, list]:
    """All rows of the chart, less the audit: reading is written down there."""
    tables = [table for table in apps.get_app_config("charting").get_models() if table is not AuditEntry]
    return {table.__name__: list(table.objects.order_by("pk").values()) for table in tables}


@pytest.mark.parametrize("address", PAGES, ids=str)
def test_it_changes_nothing_by_being_opened(address, visit, as_mara):
    url = address.url(visit)
    before = everything()
    as_mara.get(url)
    assert everything() == before


@pytest.mark.parametrize("address", CHARTS, ids=str)
def test_it_writes_down_who_opened_which_chart(address, visit, as_mara, mara):
    before = AuditEntry.objects.count()
    as_mara.get(address.url(visit))
    rows = list(AuditEntry.objects.order_by("pk")[before:])
    assert len(rows) == 1, [row.action for row in rows]
    assert rows[0].action.startswith(("opened", "printed"))
    assert (rows[0].actor_id, rows[0].practice_id) == (mara.pk, mara.practice_id)
    assert rows[0].object_id in (str(visit.pk), str(visit.patient_id))


def test_it_writes_nothing_down_for_a_chart_that_stayed_closed(visit, as_ines):
    before = AuditEntry.objects.count()
    as_ines.get(f"/visits/{visit.pk}/")
    assert AuditEntry.objects.count() == before
