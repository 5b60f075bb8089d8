"""The consent texts: complete, sourced, and a change of words is a new version."""

import copy
import tomllib

import pytest

from charting.consent.texts import FILE, ConsentTextError, load, read


@pytest.fixture
def data():
    return copy.deepcopy(tomllib.loads(FILE.read_text()))


def test_a_changed_word_needs_a_new_version(data):
    data["text"][0]["part"][1]["words"] += " More."
    with pytest.raises(ConsentTextError, match="Raise the version"):
        read(data)


def test_a_part_needs_a_source_and_a_text_its_parts(data):
    wrong = copy.deepcopy(data)
    wrong["text"][1]["part"][3]["sources"] = []
    with pytest.raises(ConsentTextError, match="source"):
        read(wrong)
    del data["text"][1]["part"]
    with pytest.raises(ConsentTextError, match="part"):
        read(data)
    with pytest.raises(ConsentTextError):
        read({"text": []})


def test_a_text_stands_once(data):
    data["text"].append(data["text"][0])
    with pytest.raises(ConsentTextError, match="twice"):
        read(data)


def test_the_consent_to_treatment_covers_what_such_a_consent_has_to():
    """Nature and purpose, sensation, benefit and uncertainty, effects with rates, rare risks, alternatives,
    questions, the right to stop: what professional guidance asks a consent to record."""
    said = load()["manual-treatment"].body.lower()
    for words in (
        *("what for", "what you feel", "nobody can say beforehand", "soreness", "rare", "stroke"),
        *("no treatment at all", "ask anything", "stop at any moment"),
    ):
        assert words in said


def test_the_rates_are_those_of_the_review():
    """Carnes et al. 2010, abstract: minor or moderate effects 22 % (11.1-36.2) in trials, 41 % (17-68) in
    cohorts; major ones about 0.13 %."""
    body = load()["manual-treatment"].body
    assert "about 22 in 100 people in trials (between 11 and 36)" in body
    assert "about 41 in 100 in observed groups (between 17 and 68)" in body
    assert "13 in 10,000 or fewer" in body
    assert "Carnes et al. 2010, Manual Therapy 15:355-63" in body


def test_no_text_promises_or_names_a_diagnosis():
    for text in load().values():
        assert "diagnos" not in text.body.lower() and "guarantee" not in text.body.lower()


def words_of(text, heading):
    return next(part.words for part in load()[text].parts if part.heading == heading)


def test_the_consent_to_needling_covers_what_such_a_consent_has_to():
    """Nature and purpose, sensation, benefit and its uncertainty, effects with rates, rare serious risks,
    alternatives with no treatment at all, what is asked first, the right to stop (common practice of
    professional guidance on dry needling)."""
    said = load()["dry-needling"].body.lower()
    for words in (
        *("what for", "you feel a prick", "nobody can say beforehand", "bruises", "bleeding", "faint"),
        *(
            "pneumothorax",
            "hours or days later",
            "infection",
            "injured nerve, blood vessel",
            "kidney",
            "no treatment at all",
        ),
        *("blood thinners", "pregnancy", "pacemaker", "ask anything", "stop at any moment"),
    ):
        assert words in said, words


def test_the_rates_of_needling_are_those_of_the_two_surveys():
    """Brady et al. 2014 and Boyce et al. 2020, abstracts (checked)."""
    said = words_of("dry-needling", "Common effects")
    for rate in ("7.55", "4.65", "3.01", "2.19", "0.88", "0.26", "0.14", "0.13", "36.7", "16,", "7.7", "5.9"):
        assert rate in said, rate
    assert "39 physiotherapists" in said and "420 physiotherapists" in said
    assert "the therapists themselves told" in said and "probably higher" in said
    for work in (
        "Brady et al. 2014, J Man Manip Ther 22:134-40",
        "Boyce et al. 2020, Int J Sports Phys Ther",
    ):
        assert load()["dry-needling"].body.count(work) == 2


def test_the_printed_rates_follow_from_the_printed_counts():
    """Brady: 1463 of 7629, and no serious event, by the rule of three (3/n); Boyce: 7531, and 20 serious."""
    effects, risks = (
        words_of("dry-needling", "Common effects"),
        words_of("dry-needling", "Rare risks that are serious"),
    )
    assert "1,463 of them in 7,629 treatments (19.18 for 100 treatments)" in effects
    assert round(100 * 1463 / 7629, 2) == 19.18
    assert "up to 4 in 10,000" in risks and round(10_000 * 3 / 7629) == 4
    assert "36.7 for 100" in effects and "about 1 in 1,024" in risks


def test_both_numbers_of_treatments_that_disagree_are_printed():
    """Boyce prints 20,464 sessions; 36.7 % and 1 per 1,024 follow from the other number, 20,494, alone."""
    effects = words_of("dry-needling", "Common effects")
    assert "20,464 in one place and as 20,494 in another" in effects
    assert (round(100 * 7531 / 20494, 1), int(20494 / 20)) == (36.7, 1024)
    assert (round(100 * 7531 / 20464, 1), int(20464 / 20)) == (36.8, 1023)


def test_each_sensitive_area_has_a_text_with_dignity_chaperone_alternatives_and_the_right_to_stop():
    found = {text.sensitive: text.body.lower() for text in load().values() if text.sensitive}
    assert set(found) == {"pelvic_floor", "breast", "groin", "buttock"}
    for area, said in found.items():
        for words in (
            "undress and dress alone",
            "in the room all the time",
            "say stop at any moment",
            "you can",
        ):
            assert words in said, (area, words)
    assert "never needled" in found["breast"] and "from outside alone" in found["pelvic_floor"]


@pytest.mark.parametrize(
    "words",
    [
        "Sore in 19.18 % of people.",
        "About 3 in 10 are sore.",
        "One in a thousand.",
        "36.7 for 100 treatments.",
    ],
)
def test_a_rate_needs_a_published_source(data, words):
    data["text"][0]["part"][1]["words"] = words
    with pytest.raises(ConsentTextError, match="a rate needs a published source"):
        read(data)


def test_a_text_is_of_one_procedure_or_about_one_sensitive_area(data):
    for name, value, said in (
        ("procedure", "magic", "no such procedure"),
        ("procedure", "", "one procedure"),
    ):
        wrong = copy.deepcopy(data)
        wrong["text"][0][name] = value
        with pytest.raises(ConsentTextError, match=said):
            read(wrong)
    data["text"][0] |= {"procedure": "", "sensitive": "neck"}
    with pytest.raises(ConsentTextError, match="no sensitive area"):
        read(data)
