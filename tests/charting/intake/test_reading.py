"""A consent text read alone: part by part, questions noted, nothing signed."""

import pytest
from django.db import DatabaseError, transaction
from django.template import Context, Template

from charting.audit.models import AuditEntry
from charting.consent.models import Consent
from charting.consent.queries import texts_in_use
from charting.intake.models import ConsentRead
from charting.intake.queries import readings_of
from tests.charting.intake.conftest import read
from tests.charting.telling.conftest import handed_over


@pytest.fixture
def text(blank):
    return texts_in_use(blank.patient.practice)["examination"]


def read_all(device, text):
    for part in range(1, len(text.parts) + 1):
        answered = read(device, part)
    return answered


def test_one_part_to_a_screen_in_the_words_of_the_text(device, text):
    for number, part in enumerate(text.parts, 1):
        page = device.get(f"/board/reading/examination/{number}/")
        assert page.context["page"].part == part
        assert "you sign nothing here" in page.content.decode()


def test_the_way_through_and_back(device, text):
    assert device.get("/board/reading/").headers["Location"] == "/board/reading/examination/1/"
    assert read(device, 1, go="back").headers["Location"] == "/board/scores/"
    assert read(device, 1).headers["Location"] == "/board/reading/examination/2/"
    assert read(device, 2, go="back").headers["Location"] == "/board/reading/examination/1/"
    assert read(device, len(text.parts)).headers["Location"] == "/board/reading/end/"
    assert "You have signed nothing" in device.get("/board/reading/end/").content.decode()
    assert device.post("/board/reading/end/", {"go": "done"}).headers["Location"] == "/board/done/"


def test_only_the_end_makes_it_read_and_reading_signs_nothing(device, blank, text):
    read(device, 1)
    assert readings_of(blank) == {}
    read_all(device, text)
    found = readings_of(blank)["examination"]
    assert found.read_at is not None and found.version == text.version and found.questions == ()
    assert not Consent.objects.exists()


def test_read_twice_is_one_row(device, text):
    read_all(device, text)
    read_all(device, text)
    assert ConsentRead.objects.count() == 1


def test_questions_are_noted_as_they_were_written_each_once(device, blank, text):
    read(device, 2, question="  May my daughter\nstay? ")
    read(device, 2, question="May my daughter stay?")
    read_all(device, text)
    found = readings_of(blank)["examination"]
    assert found.questions == ("May my daughter stay?",) and found.read_at is not None
    assert "May my daughter stay?" in device.get("/board/reading/end/").content.decode()


def test_a_question_half_written_is_kept_and_is_no_question_yet(device, blank):
    sent = {"go": "stay", "question": "May my"}
    answered = device.post(
        "/board/reading/examination/2/", sent, headers={"Accept": "application/json"}
    ).json()
    assert answered["wrong"] == {} and readings_of(blank) == {}
    page = device.get("/board/reading/examination/2/").context["page"]
    assert page.form["question"].value() == "May my"


def test_a_question_that_is_too_long_stays_on_the_page_with_the_reason(device, blank):
    answered = read(device, 2, question="x" * 501)
    assert answered.status_code == 422 and "x" * 501 in answered.content.decode()
    assert readings_of(blank) == {}


def test_a_text_that_is_not_asked_is_not_shown(device, blank, mara):
    assert read(device, 1, text="manual-treatment").headers["Location"] == "/board/reading/"
    without = handed_over(blank, mara, asks=["scores"])
    assert without.get("/board/reading/examination/1/").headers["Location"] == "/board/"
    assert read(without, 1).status_code == 403


def test_what_was_read_is_never_changed(device, text):
    read_all(device, text)
    with pytest.raises(DatabaseError), transaction.atomic():
        ConsentRead.objects.update(questions="none")


def test_who_read_is_written_down_without_a_word_of_it(device, text):
    read(device, 1, question="Is it safe?")
    read_all(device, text)
    rows = AuditEntry.objects.filter(action__in=("asked about consent text", "read consent text"))
    assert [row.actor for row in rows] == ["Patient at the board"] * 2
    assert "safe" not in str([row.detail for row in rows])


def test_the_tag_for_the_consent_pages_says_what_was_read_and_asked(device, blank, text):
    template = Template("{% load handing %}{% read_on_device visit text %}")
    shown = Context({"visit": blank, "text": text})
    assert template.render(shown).strip() == ""
    read(device, 1, question="Is it safe?")
    assert "not to the end" in template.render(shown)
    read_all(device, text)
    words = template.render(shown)
    assert "Read on the device" in words and "Is it safe?" in words and "Nothing was signed there" in words


def test_the_page_to_sign_shows_the_clinician_what_is_to_be_answered_first(device, blank, text, as_mara):
    read(device, 1, question="Is it safe?")
    read_all(device, text)
    page = as_mara.get(f"/visits/{blank.pk}/consents/examination/sign/").content.decode()
    assert "Read on the device" in page and "Is it safe?" in page
