"""Flesch reading ease against printed worked values, and syllables against a list."""

import pytest

from charting.letters import reading

# By the ear (from memory); an "e" that is not spoken, "-ed", "-es" and joined vowels are what goes wrong.
SYLLABLES = {
    1: "cat pain nerve stretched pressed played changed used times comes eyes shoes whole tape spine",
    2: "table shoulder muscles needles wanted rated noises people little question being before "
    "something bodies likely numbness breathing larger trouble bladder careful movement painful "
    "every science",
    3: "exercise idea possible area radio average appointment usual",
    4: "exercises emergency",
}


@pytest.mark.parametrize(("sentence_length", "syllables", "score"), [(15, 1.5, 64.71), (20, 1.2, 85.02)])
def test_it_gives_the_printed_score(sentence_length, syllables, score):
    """Two worked examples, bit1024.com/tool/Flesch-Reading-Ease-Score-Calculator (checked)."""
    found = reading.ease(sentence_length * 10, 10, round(syllables * sentence_length * 10))
    assert found == pytest.approx(score, abs=0.0051)


def test_it_counts_the_sentence_that_everybody_counts():
    """ "The cat sat on the mat.": six words of one syllable, 116.145 (the textbook example, from memory)."""
    found = reading.of("The cat sat on the mat.")
    assert (found.words, found.sentences, found.syllables, found.ease) == (6, 1, 6, 116.1)


def test_it_counts_syllables_as_they_are_spoken():
    wrong = [
        (word, count, reading.syllables_of(word))
        for count, words in SYLLABLES.items()
        for word in words.split()
        if reading.syllables_of(word) != count
    ]
    assert wrong == []


def test_it_counts_figures_signs_and_shortened_words_as_one():
    """Step 2 of Flesch's own method, scribd.com/document/149257119/Flesch-Test (checked)."""
    found = reading.of("You can't do 17 of 20: that's 85%.")
    assert (found.words, found.sentences) == (8, 2)
    assert [reading.syllables_of(word) for word in ("17", "85%")] == [1, 1]


def test_it_ends_no_sentence_within_a_number_or_after_an_initial():
    assert reading.of("It fell from 7.5 to 3.2 at last.").sentences == 1
    assert reading.of("Ask Dr. Brunner. Then call.").sentences >= 2


def test_it_says_hard_words_and_the_longest_sentence_of_a_text_for_nobody():
    found = reading.of("Go on. Neuromuscular re-education necessitates multidimensional rehabilitation.")
    assert not found.is_easy
    assert "neuromuscular" in found.hard and found.longest.startswith("Neuromuscular")


def test_it_has_no_score_for_no_words():
    assert reading.of(" . ").ease is None and reading.of("").is_easy


@pytest.mark.parametrize(
    ("part", "name", "value"),
    [("ease", "per_word", 0), ("goal", "at_least", "80"), ("ease", "source", ""), ("goal", "status", "sure")],
)
def test_it_refuses_a_file_that_forgets_a_number_or_who_says_so(part, name, value):
    import tomllib

    data = tomllib.loads(reading.FILE.read_text())
    data[part][name] = value
    with pytest.raises(reading.ReadingError, match=rf"reading.toml: \[{part}\]"):
        reading.read(data)
