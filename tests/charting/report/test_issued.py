"""A paper that was given out is kept: the same content is the same bytes, however it is laid out later."""

import hashlib

import pytest

from charting.audit.models import AuditEntry
from charting.consent.models import ConsentConfirmed
from charting.report import pdf
from charting.report.models import IssuedPaper
from charting.staff.models import Practice
from charting.treatment.models import HomeProgramme
from tests.charting.agreed import an_earlier


@pytest.fixture
def printing(monkeypatch):
    """Each paper that is laid out is another one, as with a new release of what lays it out."""
    made = []

    def next_one(html: str) -> bytes:
        made.append(html)
        return f"%PDF {len(made)}".encode()

    monkeypatch.setattr(pdf, "_made", next_one)
    return made


@pytest.fixture
def consent(blank):
    return an_earlier(blank, "dry-needling", ["neck"])


@pytest.fixture
def programme(blank):
    return HomeProgramme.objects.create(visit=blank, items=[{"title": "Arm circles"}])


def copy_url(consent) -> str:
    return f"/patients/{consent.visit.patient_id}/consents/{consent.pk}/copy.pdf"


def test_the_same_consent_is_given_out_as_the_same_bytes(consent, as_mara, printing, mara):
    first = as_mara.get(copy_url(consent)).content
    again = as_mara.get(copy_url(consent)).content
    assert first == again == b"%PDF 1" and len(printing) == 1
    row = IssuedPaper.objects.get()
    assert (row.kind, row.paper, row.issued_by) == ("consent", "a4", mara)
    assert row.sha256 == hashlib.sha256(first).hexdigest()
    rows = AuditEntry.objects.filter(action="printed copy of consent")
    assert [entry.detail for entry in rows] == [{"issued": row.pk}] * 2


def test_the_other_size_and_another_content_are_papers_of_their_own(consent, blank, as_mara, mara, printing):
    as_mara.get(copy_url(consent))
    as_mara.get(f"{copy_url(consent)}?paper=letter")
    ConsentConfirmed.objects.create(consent=consent, visit=blank, confirmed_by=mara)
    as_mara.get(copy_url(consent))
    Practice.objects.update(phone="052 000 00 00")
    as_mara.get(copy_url(consent))
    assert [row.paper for row in IssuedPaper.objects.order_by("pk")] == ["a4", "letter", "a4", "a4"]


def test_a_home_programme_is_kept_as_it_was_taken_along(programme, as_mara, printing, anna):
    url = f"/visits/{programme.visit_id}/home-programme.pdf"
    first = as_mara.get(url).content
    HomeProgramme.objects.update(items=[{"title": "Wall slides"}])
    assert as_mara.get(url).content != first
    kept = IssuedPaper.objects.order_by("pk").first()
    assert as_mara.get(f"/patients/{anna.pk}/issued/{kept.pk}.pdf").content == first
    page = as_mara.get(f"/patients/{anna.pk}/letters/").content.decode()
    assert page.count("/issued/") == 2 and "Home programme" in page


def test_nobody_from_elsewhere_gets_one(programme, as_mara, as_ines, printing, anna):
    as_mara.get(f"/visits/{programme.visit_id}/home-programme.pdf")
    row = IssuedPaper.objects.get()
    assert as_ines.get(f"/patients/{anna.pk}/issued/{row.pk}.pdf").status_code == 404


def test_two_at_once_get_the_bytes_of_one(programme, as_mara, printing, anna, mara, monkeypatch):
    """Somebody else has kept it while this one was laid out."""
    url = f"/visits/{programme.visit_id}/home-programme.pdf"
    first = as_mara.get(url).content
    from charting.report import services

    monkeypatch.setattr(services, "_issued", lambda *what: None)
    assert as_mara.get(url).content == first
    assert IssuedPaper.objects.count() == 1
