"""Everything the record can hold has plain words, or is left to the clinician on purpose."""

import tomllib

import pytest

from charting.letters import plain_file, reading


def data():
    return tomllib.loads(plain_file.FILE.read_text(encoding="utf-8"))


def without(part, name):
    made = data()
    del made[part][name]
    return made


def with_(part, name, words):
    made = data()
    made[part][name] = words
    return made


@pytest.mark.parametrize(
    ("made", "says"),
    [
        (lambda: without("techniques", "needling"), "say needling in plain words too"),
        (lambda: without("places", "groin"), "say groin in plain words too"),
        (lambda: with_("sources", "soul", "a soul"), "the record knows no such thing"),
        (lambda: with_("scores", "nprs.now", " "), "write it in words"),
        (lambda: with_("certainty", "likely", "We think so."), "put {source} where"),
    ],
)
def test_it_refuses_a_file_that_leaves_something_out(made, says):
    with pytest.raises(plain_file.PlainError, match=says):
        plain_file.read(made())


def test_it_has_no_words_for_what_a_clinician_must_say():
    """An inner organ, and a source that is less likely or ruled out, are told by the person who knows."""
    known = plain_file.load()
    assert "visceral" not in known.sources
    assert set(known.certainty) == {"likely", "possible"}


def test_every_plain_word_is_easy():
    known = plain_file.load()
    words = [
        *known.techniques.values(),
        *known.places.values(),
        *known.sources.values(),
        *known.scores.values(),
    ]
    hard = [one for one in words if any(reading.syllables_of(word) > 3 for word in one.split())]
    assert hard == []
