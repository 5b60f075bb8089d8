"""The paper says what is to be excluded before it says what is ranked."""

import pytest

from charting.report import pdf
from charting.report.content import assemble
from charting.visits.models import Visit
from tests.charting import recorded
from tests.charting.report import printed

BREASTBONE = ("front", "ache", ("sternum_mid", "xiphoid"), 30)


@pytest.fixture
def chest(anna, mara) -> Visit:
    visit = Visit.objects.create(patient=anna, clinician=mara)
    recorded.draw(visit, BREASTBONE, recorded.THUMB_TINGLING)
    recorded.answer_danger_screen(visit)
    return visit


def test_urgent_organs_and_roots_are_printed_before_the_muscles(chest):
    content = assemble(chest)
    assert any("Heart" in words for words in content["candidates"]["exclude_first"])
    whole = " ".join(printed.pages(pdf.render(content, paper="a4")))
    places = [
        whole.index(words)
        for words in (
            "Exclude first.",
            "Examine before needling. Consider a nerve root",
            content["candidates"]["together"][0],
            "By the drawing alone",
        )
    ]
    assert places == sorted(places)


def test_the_note_says_so_beside_what_is_being_written(client, chest, mara):
    client.force_login(mara)
    shown = client.get(f"/visits/{chest.pk}/note/").content.decode()
    assert shown.index("Exclude first.") < shown.index('<ol class="short">')


def test_a_note_signed_before_this_was_said_is_printed_as_it_was(chest):
    content = assemble(chest)
    del content["candidates"]["exclude_first"]
    assert "Exclude first" not in " ".join(printed.pages(pdf.render(content, paper="a4")))
