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
