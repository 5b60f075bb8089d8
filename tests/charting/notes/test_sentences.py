"""Sentences made from the record are changed, left out and put back before signing; nothing is lost."""

import pytest
from django.urls import reverse

from charting.audit.models import AuditEntry
from charting.drafts.services import keep
from charting.history.models import Story
from charting.notes import services
from charting.notes.models import NoteSentence
from charting.notes.queries import gaps_in, recorded_in, text_of
from charting.notes.sentences_services import MINE, RECORD, Said
from charting.versioning import Stale
from tests.charting import recorded
from tests.charting.people import signed_in

KEY, NAME, STOOD = "story.history", "subjective:story.history", "Six weeks."


def said(words, *, section="subjective", key=KEY, stood=STOOD, was=None, **more):
    return Said(section, key, stood, words, was=stood if was is None else was, **more)


@pytest.fixture
def save(visit, mara):
    def act(*sentences, who=mara, **words):
        version = text_of(visit).version
        typed = {"assessment": "Tender.", "plan": "Again.", **words}
        return services.save_text(who=who, visit=visit, version=version, sentences=sentences, **typed)

    return act


def sentence(visit, key=KEY):
    every = (one for part in recorded_in(visit)["soap"]["sections"] for one in part["parts"])
    return next(one for part in every for one in part["sentences"] if one["key"] == key)


def test_a_sentence_is_put_in_other_words_and_back(save, visit):
    save(said("For six weeks, after painting."))
    assert sentence(visit)["words"] == "For six weeks, after painting."
    assert "story" not in recorded_in(visit)["soap"]["stand"]
    save(said("x", was="x", version=1, again=RECORD))
    assert (sentence(visit)["words"], sentence(visit)["is_edited"]) == (STOOD, False)
    assert not NoteSentence.objects.exists()


def test_a_sentence_is_left_out_and_keeps_its_words_for_later(save, visit):
    save(said(STOOD, taken_out=True))
    assert sentence(visit)["taken_out"]
    save(said(STOOD, was=STOOD, was_out=True, version=1))
    assert not sentence(visit)["taken_out"]


def test_an_emptied_sentence_is_left_out(save, visit):
    save(said(""))
    assert sentence(visit)["taken_out"]


def test_what_was_not_touched_is_not_written(save, visit):
    save(said(STOOD))
    assert not NoteSentence.objects.exists()
    assert AuditEntry.objects.filter(action="wrote note").count() == 1


def test_a_changed_sentence_is_shown_to_be_old_when_the_record_changes(save, visit):
    save(said("For six weeks."))
    Story.objects.filter(visit=visit).update(history="Seven weeks.")
    one = sentence(visit)
    assert (one["words"], one["stood"], one["is_old"]) == ("For six weeks.", "Seven weeks.", True)
    warned = "You changed a sentence, and the record says something else now: For six weeks."
    assert warned in gaps_in(recorded_in(visit)).warnings
    save(said("For six weeks.", stood="Seven weeks.", was="For six weeks.", version=1, again=MINE))
    assert not sentence(visit)["is_old"]


def test_words_of_a_sentence_that_the_record_lost_stay_until_they_are_left_out(save, visit):
    save(said("For six weeks."))
    Story.objects.filter(visit=visit).update(history="")
    assert sentence(visit)["is_gone"]
    save(said("For six weeks.", stood="", was="For six weeks.", version=1, taken_out=True))
    assert not NoteSentence.objects.exists()


def test_the_slower_of_two_is_told_and_nothing_of_the_note_is_saved(save, visit, tom):
    save(said("Tom's words."), who=tom)
    with pytest.raises(Stale) as caught:
        save(said("Mara's words."), plan="Mara's plan.")
    assert caught.value.current.words == "Tom's words."
    assert text_of(visit).plan == "Again."


def test_own_words_under_all_four_headings_are_kept(save, visit):
    save(subjective="Slept badly.", objective="Walks freely.")
    content = recorded_in(visit)
    assert [one["own"] for one in content["soap"]["sections"]] == [
        "Slept badly.", "Walks freely.", "Tender.", "Again.",
    ]  # fmt: skip


def test_an_assessment_whose_sentences_are_all_left_out_is_empty(save, visit):
    recorded.conclude(visit)
    every = recorded_in(visit)["soap"]["sections"][2]["parts"][0]["sentences"]
    out = (said(one["words"], section="assessment", key=one["key"], stood=one["words"], taken_out=True)
           for one in every)  # fmt: skip
    save(*out, assessment="")
    assert any("assessment is empty" in stop for stop in gaps_in(recorded_in(visit)).stops)


class TestThePage:
    def url(self, visit):
        return reverse("note", args=[visit.pk])

    def sent(self, visit, **more):
        typed = {"assessment": "Tender.", "plan": "Again.", "version": text_of(visit).version}
        return {**typed, f"words:{NAME}": STOOD, f"stood:{NAME}": STOOD, **more}

    def test_it_keeps_what_was_changed(self, as_mara, visit):
        sent = self.sent(visit, **{f"words:{NAME}": "For six weeks."})
        assert as_mara.post(self.url(visit), sent).status_code == 302
        shown = as_mara.get(self.url(visit)).content.decode()
        assert "For six weeks." in shown
        assert "As recorded: Six weeks." in shown

    def test_it_shows_both_when_somebody_changed_the_sentence_meanwhile(self, as_mara, visit, save, tom):
        save(said("Tom's words."), who=tom)
        sent = self.sent(visit, **{f"words:{NAME}": "Mara's words.", "plan": "Mara's plan."})
        answer = as_mara.post(self.url(visit), sent)
        assert answer.status_code == 409
        for words in ("Tom&#x27;s words.", "Mara&#x27;s words.", "Mara&#x27;s plan."):
            assert words in answer.content.decode()
        again = {f"version:{NAME}": 1, f"was:{NAME}": "Tom's words."}
        assert as_mara.post(self.url(visit), {**sent, **again}).status_code == 302
        assert sentence(visit)["words"] == "Mara's words."

    def test_it_refuses_a_sentence_that_is_too_long_and_shows_it_as_typed(self, as_mara, visit):
        answer = as_mara.post(self.url(visit), self.sent(visit, **{f"words:{NAME}": "x" * 4001}))
        assert answer.status_code == 422
        assert "at most 4000 characters; this one has 4001" in answer.content.decode()
        assert "x" * 4001 in answer.content.decode()

    def test_it_brings_back_a_half_typed_sentence(self, as_mara, visit, mara):
        data = {f"words:{NAME}": ["Half a sen"], f"stood:{NAME}": [STOOD], "version": ["1"]}
        keep(who=mara, key=services.draft_key(visit), data=data)
        assert "Half a sen" in as_mara.get(self.url(visit)).content.decode()

    def test_words_about_a_sentence_that_is_gone_are_shown_again(self, as_mara, visit):
        Story.objects.filter(visit=visit).update(history="")
        sent = self.sent(visit, **{f"words:{NAME}": "For six weeks.", "version": "no number"})
        answer = as_mara.post(self.url(visit), sent)
        assert answer.status_code == 422
        assert "For six weeks." in answer.content.decode()

    def test_what_comes_too_late_is_offered_for_an_addendum(self, as_mara, note, visit):
        sent = self.sent(visit, **{f"words:{NAME}": "For six weeks."})
        answer = as_mara.post(self.url(visit), sent, follow=True)
        assert "For six weeks." in answer.context["form"]["text"].value()

    def test_a_manager_reads_the_sentences_and_changes_none(self, visit, vera):
        shown = signed_in(vera).get(self.url(visit)).content.decode()
        assert STOOD in shown
        assert "<textarea" not in shown
