"""A chart opened in an emergency. 45 CFR 164.312(a)(2)(ii): a procedure for necessary access in an emergency;
164.312(b): its use is recorded and examined."""

import pytest
from django.core.exceptions import PermissionDenied
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from charting.audit.models import AuditEntry
from charting.patients.models import EmergencyAccess
from charting.sites import emergency_services
from charting.sites.emergency_queries import LASTS, TRIED, TRIES
from charting.sites.emergency_services import NotKept
from charting.visits.models import Visit
from tests.charting.sites.conftest import REASON, open_for

ASK = "/emergency-access/"


def said(patient, **more):
    return {"number": patient.record_number, "reason": REASON, **more}


def over(access: EmergencyAccess) -> None:
    EmergencyAccess.objects.filter(pk=access.pk).update(
        began_at=timezone.now() - 2 * LASTS, expires_at=timezone.now() - LASTS
    )


def test_it_opens_a_chart_for_an_hour_and_says_so_on_every_page_of_it(as_otto, at_the_mill, mara):
    visit = Visit.objects.create(patient=at_the_mill, clinician=mara)
    assert as_otto.get(f"/visits/{visit.pk}/").status_code == 404
    opened = as_otto.post(ASK, said(at_the_mill), follow=True)
    assert "Open in an emergency, 60 minutes left" in opened.content.decode()
    page = as_otto.get(f"/visits/{visit.pk}/").content.decode()
    assert "Open in an emergency" in page and REASON in page and "End now" in page
    over(EmergencyAccess.objects.get())
    assert as_otto.get(f"/visits/{visit.pk}/").status_code == 404


def test_opening_each_look_and_the_end_stand_in_the_trail(as_otto, otto, at_the_mill, mara):
    visit = Visit.objects.create(patient=at_the_mill, clinician=mara)
    as_otto.post(ASK, said(at_the_mill))
    access = EmergencyAccess.objects.get()
    as_otto.get(f"/visits/{visit.pk}/")
    as_otto.get(f"/patients/{at_the_mill.pk}/")
    as_otto.post(f"{ASK}{access.pk}/end/")
    as_otto.post(f"{ASK}{access.pk}/end/")
    told = AuditEntry.objects.filter(actor_id=otto.pk, detail__emergency=str(access.pk)).order_by("pk")
    assert [(row.action, row.object_type) for row in told] == [
        ("opened chart in an emergency", "patient"),
        ("opened visit", "visit"),
        ("opened patient", "patient"),
        ("ended opening in an emergency", "patient"),
    ]
    assert not any("Keller" in str(row.detail) or REASON in str(row.detail) for row in told)
    assert as_otto.get(f"/patients/{at_the_mill.pk}/").status_code == 404


def test_a_name_with_the_date_of_birth_is_enough(as_otto, at_the_mill):
    born = {"birth_date_day": "3", "birth_date_month": "5", "birth_date_year": "1978"}
    answer = as_otto.post(ASK, {"number": "", "name": "Anna Keller", **born, "reason": REASON})
    assert answer.headers["Location"] == f"/patients/{at_the_mill.pk}/"


def test_without_a_reason_the_page_says_the_same_of_somebody_and_nobody(as_otto, at_the_mill):
    """OWASP ASVS 5.0, 6.3.8 in its sense: nobody learns who is known."""
    there = as_otto.post(ASK, said(at_the_mill, reason="   "))
    nobody = as_otto.post(ASK, {"number": at_the_mill.record_number + 1, "reason": "   "})
    assert there.status_code == nobody.status_code == 422
    assert "Write the reason" in there.content.decode() and "Keller" not in there.content.decode()
    assert "meant by this" not in nobody.content.decode()
    assert not EmergencyAccess.objects.exists() and not AuditEntry.objects.filter(action=TRIED).exists()


def test_a_try_in_vain_is_written_down_and_tries_are_counted(as_otto, otto, at_the_mill):
    """OWASP ASVS 5.0, 2.4.1."""
    for _ in range(TRIES):
        answer = as_otto.post(ASK, {"number": "99999", "reason": REASON})
        assert answer.status_code == 422 and REASON in answer.content.decode()
    assert AuditEntry.objects.filter(action=TRIED, actor_id=otto.pk).count() == TRIES
    late = as_otto.post(ASK, said(at_the_mill))
    assert late.status_code == 429 and 0 < int(late.headers["Retry-After"]) <= 3600
    assert not EmergencyAccess.objects.exists()


def test_a_second_tap_opens_it_once(as_otto, at_the_mill):
    for _ in range(3):
        assert as_otto.post(ASK, said(at_the_mill)).status_code == 302
    assert EmergencyAccess.objects.count() == 1


def test_only_who_treats_at_some_sites_opens_one(mara, poll, at_the_mill, ines):
    with pytest.raises(PermissionDenied):
        open_for(poll, at_the_mill)
    with pytest.raises(emergency_services.NotOpened, match="every site"):
        open_for(mara, at_the_mill)
    ines.every_site = False
    with pytest.raises(emergency_services.NotOpened, match="Nobody"):
        open_for(ines, at_the_mill)


def test_the_owner_sees_it_on_the_day_page_until_one_has_said_what_it_was(as_vera, vera, otto, at_the_mill):
    access = open_for(otto, at_the_mill)
    assert REASON in as_vera.get("/").content.decode()
    early = as_vera.post(f"{ASK}{access.pk}/", {"remark": "Right so."})
    assert early.status_code == 422 and "It stands open still" in early.content.decode()
    over(access)
    assert as_vera.post(f"{ASK}{access.pk}/", {"remark": ""}).status_code == 422
    assert as_vera.post(f"{ASK}{access.pk}/", {"remark": "Right so."}).status_code == 302
    assert REASON not in as_vera.get("/").content.decode()
    assert "Right so." in as_vera.get(f"{ASK}{access.pk}/").content.decode()
    assert REASON in as_vera.get(f"{ASK}all/").content.decode()
    ends = AuditEntry.objects.filter(action="ended opening in an emergency")
    assert ends.get().actor_id != otto.pk
    with pytest.raises(NotKept, match="already"):
        emergency_services.look_at(who=vera, access=access, remark="Once more.")


def test_the_strip_asks_nothing_of_who_works_at_every_site(as_mara, at_the_mill):
    with CaptureQueriesContext(connection) as asked:
        as_mara.get(f"/patients/{at_the_mill.pk}/")
    assert not any("emergencyaccess" in each["sql"] for each in asked.captured_queries)


def test_an_owner_ends_it_too_and_a_colleague_does_not(as_vera, as_mara, otto, at_the_mill):
    access = open_for(otto, at_the_mill)
    assert as_mara.post(f"{ASK}{access.pk}/end/").status_code == 404
    assert EmergencyAccess.objects.get().ended_at is None
    assert as_vera.post(f"{ASK}{access.pk}/end/").status_code == 302
    assert EmergencyAccess.objects.get().ended_at is not None
