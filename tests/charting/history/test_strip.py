"""The strip above every page of a person's chart: what to mind, none known, not asked yet."""

from datetime import timedelta

import pytest
from django.utils import timezone

from charting.history.queries import standing_of
from charting.staff.models import Practice
from charting.templatetags.standing_facts import strip_of
from tests.charting.history.test_standing import FACTS, MAY, confirmed

PAGES = ("", "story/", "danger-screen/", "drawing-step/", "neuro-screen/", "consents/", "note/")


def words(client, address):
    """The strip as it is read."""
    text = client.get(address).content.decode()
    strip = text.partition('aria-label="Patient"')[2].partition("</div>")[0]
    return " ".join(" ".join(part.partition(">")[2] for part in strip.split("<")).split())


def patients_page(visit):
    return f"/patients/{visit.patient_id}/"


@pytest.fixture
def known(blank):
    """Warfarin, and no to the rest, confirmed today."""
    noes = {key: "no" for key in FACTS if key != "anticoagulant"}
    now = timezone.now()
    confirmed(blank, on=now, anticoagulant="yes", anticoagulant_which="warfarin", **noes)
    return blank


@pytest.mark.parametrize("page", PAGES)
def test_it_stands_on_every_page_of_a_visit(known, as_mara, page):
    assert "Blood thinner or bleeding disorder: warfarin" in words(as_mara, f"/visits/{known.pk}/{page}")


def test_it_stands_on_the_pages_of_the_person(known, as_mara, as_vera):
    day = f"{timezone.localtime(timezone=known.patient.practice.zone):%-d %b %Y}"
    assert f"warfarin confirmed {day}" in words(as_mara, patients_page(known))
    assert "warfarin" in words(as_mara, f"{patients_page(known)}edit/")
    assert "warfarin" in words(as_vera, patients_page(known))


def test_it_says_how_old_the_person_is_today(known, as_mara):
    years = known.patient.age_on(timezone.localdate())
    assert f"born 3 May 1978, {years} years" in words(as_mara, f"/visits/{known.pk}/")


def test_the_assistant_sees_no_clinical_facts(known, as_poll):
    response = as_poll.get(patients_page(known))
    assert response.status_code == 200
    assert "warfarin" not in response.content.decode()
    assert "Blood thinner" not in response.content.decode() and "allergy" not in response.content.decode()


@pytest.mark.parametrize("address", ["/board/confirm/", "/board/", "/board/areas/", "/board/done/"])
def test_it_is_not_on_the_device_with_the_patient(known, as_mara, address):
    as_mara.post(f"/visits/{known.pk}/hand-over/")
    if address != "/board/confirm/":
        as_mara.post("/board/confirm/", {"is_me": "yes"})
    response = as_mara.get(address, follow=True)
    assert response.status_code in (200, 405)
    assert "warfarin" not in response.content.decode() and "Blood thinner" not in response.content.decode()


def test_it_says_when_nobody_asked_yet(blank, as_mara):
    said = words(as_mara, patients_page(blank))
    assert "Not asked yet: blood thinner, pregnancy, implant, allergy, needles" in said
    assert "None known" not in said


def test_it_says_none_known_only_of_what_was_answered_no(blank, as_mara):
    confirmed(blank, on=timezone.now(), allergy="no", implant="no", pregnancy="unsure")
    said = words(as_mara, patients_page(blank))
    assert "Pregnant: not sure confirmed" in said
    assert "None known: implant, allergy (confirmed" in said
    assert "Not asked yet: blood thinner, needles" in said


def test_it_asks_of_a_man_no_pregnancy(blank, as_mara):
    blank.patient.sex = "male"
    blank.patient.save()
    assert "pregnancy" not in words(as_mara, patients_page(blank))


def test_it_says_the_week_on_its_day(blank, as_mara):
    confirmed(blank, on=MAY, pregnancy="yes", pregnancy_week=20)
    assert "Pregnant, week 20 confirm again, last 3 May 2026" in words(as_mara, patients_page(blank))


@pytest.mark.parametrize(("days", "is_old"), [(89, False), (91, True)])
def test_after_ninety_days_it_is_to_be_confirmed_again(blank, days, is_old):
    confirmed(blank, on=timezone.now() - timedelta(days=days), allergy="yes", implant="no")
    strip = strip_of(blank.patient, standing_of(blank.patient))
    assert (strip.chips[0].is_old, strip.is_old) == (is_old, is_old)


def test_words_typed_by_somebody_are_shown_as_words(blank, as_mara):
    confirmed(blank, allergy="yes", allergy_which="<script>{which}</script>")
    assert "<script>{which}" not in as_mara.get(patients_page(blank)).content.decode()


def test_it_takes_one_query(known, django_assert_num_queries):
    with django_assert_num_queries(1):
        strip_of(known.patient, standing_of(known.patient))


def test_another_practice_sees_nothing(known, as_ines):
    assert Practice.objects.count() == 2
    assert as_ines.get(patients_page(known)).status_code == 404
