"""The programme for home: few things, kept whole, printed to take along."""

import io

import pytest
from pypdf import PdfReader

from charting.treatment import home_services
from charting.treatment.home import MOST_ITEMS, Item, WrongItem
from charting.treatment.models import HomeProgramme
from charting.versioning import Stale
from tests.charting import recorded

BEND = Item(
    "Side bend", "Lying on the back,\nhead gently over.", "30 seconds, 3 times a day", "pins and needles"
)


@pytest.fixture
def kept(visit, mara):
    return home_services.save_home(who=mara, visit=visit, version=0, items=[BEND], words="Walk a little.")


def url(visit):
    return f"/visits/{visit.pk}/home-programme/"


def test_it_is_written_on_its_page(visit, as_mara):
    sent = {
        "version": "0",
        "title_1": "Side bend",
        "how_1": "Gently.",
        "title_3": "Breaks",
        "dose_3": "Hourly",
    }
    assert as_mara.post(url(visit), sent).status_code == 302
    titles = [item["title"] for item in HomeProgramme.objects.get(visit=visit).items]
    assert titles == ["Side bend", "Breaks"]


def test_a_line_without_a_name_is_marked_and_nothing_typed_is_lost(visit, as_mara):
    answer = as_mara.post(url(visit), {"version": "0", "how_1": "Round twice.", "words": "Walk."})
    page = answer.content.decode()
    assert answer.status_code == 422
    assert "Give it a name" in page and "Round twice." in page and "Walk." in page
    assert not HomeProgramme.objects.exists()


def test_too_many_things_are_refused(visit, mara):
    with pytest.raises(WrongItem, match=f"At most {MOST_ITEMS} things"):
        home_services.save_home(who=mara, visit=visit, version=0, items=[BEND] * (MOST_ITEMS + 1), words="")


def test_the_later_of_two_never_overwrites_the_earlier(kept, visit, mara, as_mara):
    other = Item("Breaks", "", "Hourly")
    home_services.save_home(who=mara, visit=visit, version=1, items=[BEND, other], words="")
    with pytest.raises(Stale):
        home_services.save_home(who=mara, visit=visit, version=1, items=[BEND], words="Mine.")
    answer = as_mara.post(url(visit), {"version": "1", "title_1": "Another", "words": "Mine."})
    page = answer.content.decode()
    assert answer.status_code == 409
    assert "Breaks" in page and "Another" in page and "Mine." in page


def test_the_next_visit_can_begin_with_that_of_the_last(kept, visit, mara, as_mara):
    later = recorded.whole_visit(visit.patient, mara)
    assert "Begin with that of" in as_mara.get(url(later)).content.decode()
    assert "Side bend" in as_mara.get(f"{url(later)}?last=1").content.decode()
    assert not HomeProgramme.objects.filter(visit=later).exists()


@pytest.mark.parametrize("paper", ["a4", "letter"])
def test_it_prints_for_the_patient(kept, visit, as_mara, paper):
    answer = as_mara.get(f"/visits/{visit.pk}/home-programme.pdf?paper={paper}")
    read = PdfReader(io.BytesIO(b"".join(answer) if answer.streaming else answer.content))
    text = " ".join("\n".join(page.extract_text() for page in read.pages).split())
    for words in (
        "Side bend",
        "30 seconds, 3 times a day",
        "pins and needles",
        "Walk a little.",
        "Anna Keller",
    ):
        assert words in text
    assert read.metadata.title == "Home programme: Anna Keller"
    assert read.trailer["/Root"]["/Lang"] == "en"
    assert len(read.pages) == 1


def test_nothing_written_prints_nothing(visit, as_mara):
    assert as_mara.get(f"/visits/{visit.pk}/home-programme.pdf").status_code == 404
