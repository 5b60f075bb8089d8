"""What becomes of the words on record when a form comes back."""

from charting.assessment.made import Made
from charting.assessment.writing import Asked, apply, joined
from charting.assessment.written import OPEN, OWN, SOURCE, Sentence, Source, Written

INFRA = ("muscle", "infraspinatus", "left")
FELT = Made("felt:infraspinatus", SOURCE, "Active, 3 of 3.", INFRA)
NOW = {FELT.key: Made(FELT.key, SOURCE, "Active, 2 of 3.", INFRA)}
TAKEN = Sentence(FELT.key, SOURCE, "Active, 3 of 3.", "Active, 3 of 3.")
EDITED = Sentence(FELT.key, SOURCE, "The main source.", "Active, 3 of 3.")


def texts(said):
    return [each.text for each in said.taken]


def test_it_takes_only_what_was_asked_for():
    made = {FELT.key: FELT, "list": Made("list", OPEN, "Not palpated.")}
    said = apply(Written(), Asked(take=frozenset({FELT.key})), made)
    assert said.sentences == (TAKEN,)


def test_it_keeps_the_words_of_the_clinician_and_what_they_were_made_from():
    said = apply(Written(sentences=(TAKEN,)), Asked(texts={FELT.key: "The main source."}), {FELT.key: FELT})
    assert said.sentences == (EDITED,)
    assert apply(said, Asked(), NOW).sentences == (EDITED,)


def test_it_takes_the_new_words_of_the_record_in_one_tap():
    said = apply(Written(sentences=(EDITED,)), Asked(renew=frozenset({FELT.key})), NOW)
    assert texts(said) == ["Active, 2 of 3."]


def test_it_stays_with_the_clinicians_words_when_told_so():
    said = apply(Written(sentences=(EDITED,)), Asked(keep=frozenset({FELT.key})), NOW)
    assert said.sentences == (Sentence(FELT.key, SOURCE, "The main source.", "Active, 2 of 3."),)


def test_what_the_record_says_no_more_becomes_ones_own_when_kept():
    (each,) = apply(Written(sentences=(EDITED,)), Asked(keep=frozenset({FELT.key})), {}).sentences
    assert (each.text, each.is_own) == ("The main source.", True)


def test_what_was_taken_out_comes_not_back_by_itself_but_when_asked_for():
    out = apply(Written(sentences=(EDITED,)), Asked(remove=frozenset({FELT.key})), {FELT.key: FELT})
    assert texts(out) == []
    assert texts(apply(out, Asked(texts={FELT.key: "Typed."}), NOW)) == []
    assert texts(apply(out, Asked(take=frozenset({FELT.key})), NOW)) == ["The main source."]


def test_an_emptied_sentence_is_taken_out_and_not_lost():
    said = apply(Written(sentences=(EDITED,)), Asked(texts={FELT.key: ""}), {FELT.key: FELT})
    assert said.sentences == (Sentence(FELT.key, SOURCE, "The main source.", "Active, 3 of 3.", out=True),)


def test_own_sentences_are_added_one_by_one():
    said = apply(apply(Written(), Asked(own="First."), {}), Asked(own="Second."), {})
    assert [(each.about, each.text) for each in said.sentences] == [(OWN, "First."), (OWN, "Second.")]
    assert len({each.key for each in said.sentences}) == 2


def test_a_text_whose_sentence_is_on_record_no_more_is_kept():
    assert texts(apply(Written(), Asked(texts={"own:7": "Typed long."}), {})) == ["Typed long."]


def test_sources_are_named_changed_and_taken_back():
    named = apply(Written(), Asked(certainty={INFRA: "likely"}, names={INFRA: "Infraspinatus"}), {})
    assert named.sources == (Source(*INFRA, "likely", "Infraspinatus"),)
    assert apply(named, Asked(), {}).sources == named.sources
    assert apply(named, Asked(certainty={INFRA: "possible"}), {}).sources[0].certainty == "possible"
    assert apply(named, Asked(certainty={INFRA: ""}), {}).sources == ()


def test_two_areas_become_one_without_losing_a_word():
    one = Written((Source(*INFRA, "likely", "Infraspinatus"),), (TAKEN,))
    other = Written((Source(*INFRA, "possible", "Infraspinatus"),), (EDITED, Sentence("own:1", OWN, "Mine.")))
    both = joined(one, other)
    assert [each.certainty for each in both.sources] == ["likely"]
    assert texts(both) == ["Active, 3 of 3.", "The main source.", "Mine."]
    assert len({each.key for each in both.sentences}) == 3
