"""The page of the assessment: what is offered, what is taken, what the note then holds."""

from charting.assessment.models import Conclusion
from charting.assessment.queries import conclusions
from charting.candidates.queries import ranked

INFRA = "c-muscle.infraspinatus.right"
FELT = "felt:infraspinatus:right:"


def area_of(page, key):
    """The number of the area in which a sentence is offered."""
    (number,) = (
        card.place.number
        for card in page.cards
        for group in card.groups
        for made in group.offered
        if made.key == key
    )
    return number


def told(visit):
    return conclusions(visit, ranked(visit))


def test_it_chooses_no_source_beforehand(page, felt, visit, as_mara):
    assert all(not choice.certainty for card in page().cards for choice in card.choices.first)
    assert Conclusion.objects.count() == 0
    assert told(visit) == ()


def test_it_offers_the_muscle_that_was_examined_first(page, felt):
    number = area_of(page(), FELT)
    first = next(card for card in page().cards if card.place.number == number).choices.first[0]
    assert (first.label, first.note) == ("Infraspinatus, right", "active trigger point, 3 of 3")


def test_it_puts_nothing_into_the_note_but_what_was_taken(page, felt, send, visit):
    number = area_of(page(), FELT)
    send(number, **{INFRA: "likely"})
    (said,) = told(visit)
    assert [source.words for source in said.sources] == ["Infraspinatus, right: likely"]
    assert said.sentences == ()
    send(number, take=[FELT])
    (said,) = told(visit)
    assert said.about("source") == (
        "Infraspinatus, right: active trigger point, 3 of 3, pain known to the patient; "
        "pain on pressing 7 of 10 (palpation).",
    )


def test_it_takes_source_and_sentences_in_one_step(page, felt, send, visit):
    number = area_of(page(), FELT)
    send(number, **{INFRA: "likely", "c-root.C6.right": "possible", "take_all": "yes"})
    (said,) = told(visit)
    text = " ".join(said.about("source"))
    assert "Infraspinatus, right: active trigger point" in text
    assert "Nerve root C6, right: strength, wrist extensors: 4" in text
    assert "Both can take part: Infraspinatus right and Nerve root C6 right" in text
