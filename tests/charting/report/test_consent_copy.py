"""The patient's copy of a consent: the words in full, the signature, the times, a withdrawal."""

from dataclasses import replace

import pypdfium2
import pytest

from charting.consent.models import ConsentConfirmed, ConsentWithdrawn
from charting.consent.queries import standing
from charting.consent.texts import load
from charting.report import pdf
from charting.report.agreed import agreed
from charting.report.consent_copy import copy_of
from charting.staff.models import Practice
from tests.charting.agreed import an_earlier
from tests.charting.report import printed

INK = [[[50, 120], [120, 60], [180, 140]]]
MORE = {
    "signature": INK,
    "questions": "Does it hurt? A prick.",
    "interpreter": "Ana Lima, Portuguese",
    "chaperone": "accepted",
    "chaperone_name": "Poll Weber",
    "device_time": "2026-11-25T14:03:07+01:00",
}


@pytest.fixture
def consent(blank):
    return an_earlier(blank, "dry-needling", ["neck", "shoulder right"], **MORE)


def url(consent):
    return f"/patients/{consent.visit.patient_id}/consents/{consent.pk}/copy.pdf"


def in_one(made):
    return " ".join(" ".join(printed.pages(made)).split())


@pytest.mark.parametrize(("paper", "size"), [("a4", (595, 842)), ("letter", (612, 792))])
def test_it_prints_every_word_that_was_signed(consent, as_mara, paper, size):
    Practice.objects.update(paper=paper)
    response = as_mara.get(url(consent))
    assert response["Content-Type"] == "application/pdf"
    document = pypdfium2.PdfDocument(response.content)
    assert tuple(round(side) for side in document[0].get_size()) == size
    document.close()
    words = in_one(response.content)
    for part in load()["dry-needling"].parts:
        assert part.heading in words and " ".join(part.words.split()) in words
    assert "Brady et al. 2014" in words and "Version 1 of the text" in words


def test_it_prints_who_where_when_and_beside_whom(consent, as_mara):
    words = in_one(as_mara.get(url(consent)).content)
    for said in (
        *("Copy for the patient", "Anna Keller", "neck, right shoulder", "Does it hurt? A prick."),
        *("Ana Lima, Portuguese", "offered and accepted, Poll Weber", "25 November 2026, 14:03:07 UTC+01:00"),
        *("Mara Steiner, Physiotherapist", "signed by hand on the screen", "Lindenhof Practice"),
    ):
        assert said in words, said


def test_it_draws_the_signature(consent):
    """The box of 60 x 20 mm on the last page: with strokes it holds ink, without there is no box."""
    patient = consent.visit.patient
    (each,) = standing(patient)
    drawn = copy_of(patient, each)
    assert drawn.path == "M50.0 120.0L120.0 60.0L180.0 140.0"
    typed = replace(drawn, path="", how="signed by typed name")
    with_ink, without = (dark(pdf.render_consent(copy, paper="a4")) for copy in (drawn, typed))
    assert with_ink > without + 200
    assert "signed by typed name" in in_one(pdf.render_consent(typed, paper="a4"))


def dark(made):
    """Dark pixels of the last page at 72 dpi, twice."""
    document = pypdfium2.PdfDocument(made)
    picture = document[len(document) - 1].render(scale=2).to_pil().convert("L")
    document.close()
    return sum(picture.histogram()[:128])


def test_it_prints_confirmations_and_a_withdrawal(consent, blank, as_mara, mara):
    assert "You can take this consent back" in in_one(as_mara.get(url(consent)).content)
    ConsentConfirmed.objects.create(consent=consent, visit=blank, confirmed_by=mara)
    said = {"said_by": "Anna Keller, by telephone", "words": "No needles any more."}
    ConsentWithdrawn.objects.create(consent=consent, recorded_by=mara, **said)
    words = in_one(as_mara.get(url(consent)).content)
    assert "This consent was taken back" in words and "by Anna Keller, by telephone" in words
    assert "No needles any more." in words and "Confirmed by word of mouth" in words
    assert "You can take this consent back" not in words


def test_it_is_a_tagged_pdf_for_all(consent, as_mara):
    """PDF/UA-1 (ISO 14289-1): the mark of the standard, tags, a title; the signature in words."""
    made = as_mara.get(url(consent)).content
    assert printed.catalog(made) == printed.Catalog("en", is_tagged=True, shows_title=True, claims_ua=True)
    assert any("Signature of Anna Keller" in words for _, words in printed.tags(made))
    assert printed.title(made) == "Consent to dry needling: Anna Keller"


def test_it_prints_the_fingerprint_by_which_the_note_names_the_text(consent, as_mara):
    (named,) = agreed(consent.visit)["signed"]
    assert named["sha256"] in in_one(as_mara.get(url(consent)).content).replace(" ", "")
