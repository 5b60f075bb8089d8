"""An answer brought forward keeps its day, and no letter puts our remark into a person's mouth."""

from charting.letters.reason import answer_in, day_of
from charting.report.soap_told import told

NOW = {"day": "10 November 2026"}


def content(**answer: str) -> dict:
    groups = [{"id": "aims", "title": "Aims", "answers": [{"key": "goals", **answer}]}]
    return {"visit": NOW, "story": {"groups": groups}}


def test_it_is_told_with_the_day_it_was_asked_and_nothing_added():
    words = "Goals: To lift crates (from 3 June 2026, not asked again)."
    brought = content(words=words, said="To lift crates.", carried="3 June 2026")
    assert answer_in(brought, "goals") == "To lift crates."
    assert day_of(brought, "goals") == "3 June 2026"


def test_what_was_asked_in_the_visit_is_of_that_day():
    asked = content(words="Goals: To lift crates.", said="To lift crates.", carried="")
    assert day_of(asked, "goals") == "10 November 2026"


def test_a_note_of_an_earlier_format_is_read_too():
    assert answer_in(content(words="Goals: To lift crates."), "goals") == "To lift crates."
    assert answer_in(content(), "work") == ""


def story(*answers: tuple[str, str, str]) -> str:
    given = [
        {
            "words": f"{label}: {said} (from {day}, not asked again)." if day else f"{label}: {said}.",
            "label": label,
            "said": said,
            "carried": day,
        }
        for label, said, day in answers
    ]
    told_ = {"complaint": "", "history": "", "height_cm": None, "weight_kg": None}
    groups = [{"id": "begun", "answers": given}]
    empty = {"no_pain": False, "areas": [], "cleared": ""}
    found = told({"story": {**told_, "groups": groups}, "drawing": empty, "compared": None, "scores": []})
    (only,) = found
    return only.words


def test_what_is_all_from_one_day_says_so_once():
    said = story(("Onset", "sudden", "3 June 2026"), ("Work", "baker", "3 June 2026"))
    assert said == "Onset: sudden. Work: baker. (All of it from 3 June 2026, not asked again.)"


def test_what_is_partly_asked_again_says_it_of_each():
    said = story(("Onset", "sudden", "3 June 2026"), ("Work", "baker", ""))
    assert said == "Onset: sudden (from 3 June 2026, not asked again). Work: baker."
