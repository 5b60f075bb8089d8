"""The page of the assessment: what is offered, what is taken, what the note then holds."""

from charting.assessment.models import Conclusion
from charting.assessment.queries import conclusions
from charting.candidates.queries import ranked
from charting.drafts.models import Draft

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
    assert "Both can take part: infraspinatus right and nerve root C6 right" in text


def test_it_says_what_the_record_says_now_beside_an_older_sentence(page, felt, send):
    number = area_of(page(), FELT)
    send(number, take=[FELT])
    felt.pain = 3
    felt.save()
    (now,) = [each.now for card in page().cards for group in card.groups for each in group.taken]
    assert "pain on pressing 3 of 10" in now
    send(number, renew=[FELT])
    (each,) = [each for card in page().cards for group in card.groups for each in group.taken]
    assert ("pain on pressing 3 of 10" in each.text, each.now) == (True, "")


def test_it_says_when_the_record_does_not_say_it_any_more(page, felt, send):
    send(area_of(page(), FELT), take=[FELT])
    felt.delete()
    (each,) = [each for card in page().cards for group in card.groups for each in group.taken]
    assert each.gone


def test_what_was_taken_out_is_not_taken_with_all_the_others(page, felt, send, visit):
    number = area_of(page(), FELT)
    send(number, take=[FELT])
    send(number, remove=[FELT])
    send(number, take_all="yes", own="Mine.")
    assert not any("Infraspinatus" in each.text for said in told(visit) for each in said.sentences)
    assert any("Mine." in said.about("own") for said in told(visit))


def test_any_source_can_be_named_by_its_name_with_a_certainty(page, send, visit):
    send(1, other="soleus left", other_certainty="less_likely")
    assert [source.words for source in told(visit)[0].sources] == ["Soleus, left: less likely"]


def test_it_says_what_is_wrong_with_a_name_and_keeps_what_was_typed(send):
    shown = send(1, status=422, other="soleus", other_certainty="likely", own="Typed long.").content.decode()
    assert "Say which side" in shown
    assert 'value="soleus"' in shown
    assert "Typed long." in shown
    assert "Say how certain it is." in send(1, status=422, other="soleus left").content.decode()


def test_a_source_that_was_ruled_out_says_how(page, send, visit):
    send(2, **{"c-root.C5.right": "ruled_out", "take_all": "yes"})
    (said,) = told(visit)
    assert any(text.startswith("Nerve root C5, right: ") for text in said.about("ruled_out"))


def test_a_named_source_of_which_nothing_is_on_record_says_so(page, send, visit):
    send(1, **{"other": "soleus left", "other_certainty": "possible", "take_all": "yes"})
    assert "Soleus, left: not palpated." in told(visit)[0].about("open")


def test_it_suggests_no_source_before_the_danger_screen_is_answered(page, visit):
    visit.danger_answers.all().delete()
    assert "danger screen" in page().waits
    assert [choice for card in page().cards for choice in card.choices.first] == []


def test_with_nothing_drawn_it_is_about_the_visit_as_a_whole(blank, as_mara):
    sent = {"stroke": "", "version": 0, "other": "soleus left", "other_certainty": "likely", "own": "Mine."}
    assert as_mara.post(f"/visits/{blank.pk}/assessment/", sent).status_code == 302
    (said,) = told(blank)
    assert (said.number, said.where, said.about("own")) == (0, "The visit as a whole", ("Mine.",))


def test_it_forgets_the_draft_of_the_area_that_was_saved_and_no_other(visit, mara, page, send):
    for card in page().cards:
        Draft.objects.create(user=mara, key=card.draft_key, data={"own": ["Half a sent"]})
    before = page().cards
    assert [card.typed.own for card in before] == ["Half a sent"] * len(before)
    send(0, own="A whole sentence.")
    assert [card.typed.own for card in page().cards] == [*["Half a sent"] * (len(before) - 1), ""]
