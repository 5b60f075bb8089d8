"""Opening a page changes nothing, and every opened chart is on record."""

from django.apps import apps

from charting.audit.models import AuditEntry
from charting.report.models import IssuedPaper
from charting.staff.models import StaffSession
from tests.charting.access import who_may
from tests.charting.every_address import ADDRESSES

# Reading is written down, what was printed is kept, and when somebody was seen last, once a minute.
KEPT = (AuditEntry, IssuedPaper, StaffSession)
# What nobody is let in to, here a co-signature that nothing waits for, opens nothing.
MAY = who_may.table().answer
PAGES = [each for each in ADDRESSES if each.verb == "GET" and MAY(each.name, "GET", "clinician") != "404"]


def everything() -> dict[str, list]:
    """All rows of the chart, less those of KEPT."""
    tables = [table for table in apps.get_app_config("charting").get_models() if table not in KEPT]
    return {table.__name__: list(table.objects.order_by("pk").values_list()) for table in tables}


def test_a_page_changes_nothing_by_being_opened_and_it_is_written_down_who_opened_which_chart(
    visit, as_mara, mara
):
    # The rows that an address is about stand there before the first page is opened.
    urls = [(address, address.url(visit)) for address in PAGES]
    before, told = everything(), AuditEntry.objects.count()
    for address, url in urls:
        as_mara.get(url)
        assert everything() == before, str(address)
        rows = list(AuditEntry.objects.order_by("pk")[told:])
        told += len(rows)
        if address.of:
            # Two where two records are compared.
            assert rows and all(row.action.startswith(("opened", "printed")) for row in rows), str(address)
            assert len(rows) == (2 if address.name == "merge-records" else 1), str(address)
            assert (rows[0].actor_id, rows[0].practice_id) == (mara.pk, mara.practice_id), str(address)
            assert rows[0].object_id in (str(visit.pk), str(visit.patient_id)), str(address)


def test_it_writes_nothing_down_for_a_chart_that_stayed_closed(visit, as_ines):
    before = AuditEntry.objects.count()
    as_ines.get(f"/visits/{visit.pk}/")
    assert AuditEntry.objects.count() == before
