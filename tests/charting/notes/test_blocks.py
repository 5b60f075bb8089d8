"""The practice's text blocks: made, changed, put into a note."""

import pytest
from django.core.exceptions import PermissionDenied
from django.urls import reverse

from charting.notes import blocks_services as blocks
from charting.notes.blocks_services import TitleTaken
from charting.notes.models import TextBlock
from charting.notes.queries import text_of
from charting.versioning import Stale
from tests.charting.people import signed_in

SAID = {"section": "plan", "title": "Looks again", "words": "Looks again in ten days."}


@pytest.fixture
def block(mara):
    return blocks.add_block(who=mara, **SAID)


def change(who, block, version=1, **more):
    blocks.change_block(who=who, block=block, version=version, **{**SAID, "in_use": True, **more})


def test_a_second_tap_adds_nothing(block, mara):
    assert blocks.add_block(who=mara, **SAID) == block
    assert TextBlock.objects.count() == 1


def test_a_title_is_given_once_under_a_heading(block, mara):
    with pytest.raises(TitleTaken):
        blocks.add_block(who=mara, **{**SAID, "words": "Another."})
    other = blocks.add_block(who=mara, **{**SAID, "title": "Rests"})
    with pytest.raises(TitleTaken, match="Looks again"):
        change(mara, other)


def test_a_manager_changes_it_and_the_desk_does_not(block, vera, poll):
    change(vera, block, words="Looks again in a week.")
    assert TextBlock.objects.get().words == "Looks again in a week."
    with pytest.raises(PermissionDenied):
        change(poll, block, version=2)


def test_the_slower_of_two_is_shown_both(block, mara, tom):
    change(tom, block, words="Tom's words.")
    with pytest.raises(Stale):
        change(mara, block)
    sent = {**SAID, "words": "Mara's words.", "in_use": "on", "version": 1}
    answer = signed_in(mara).post(reverse("text-block", args=[block.pk]), sent)
    assert answer.status_code == 409
    for words in ("Tom&#x27;s words.", "Mara&#x27;s words."):
        assert words in answer.content.decode()


def test_a_title_that_is_taken_is_said_beside_what_was_typed(as_mara, block):
    answer = as_mara.post(reverse("text-block-new"), {**SAID, "words": "Something else.", "version": 0})
    assert answer.status_code == 422
    assert "Give this one another title" in answer.content.decode()
    assert "Something else." in answer.content.decode()


def test_a_note_offers_the_blocks_of_its_heading_that_are_in_use(as_mara, visit, block, mara, ines):
    blocks.add_block(who=mara, **{**SAID, "title": "Old", "words": "Out of use."})
    change(mara, TextBlock.objects.get(title="Old"), title="Old", words="Out of use.", in_use=False)
    blocks.add_block(who=ines, **{**SAID, "title": "Hers", "words": "Of another practice."})
    shown = as_mara.get(reverse("note", args=[visit.pk])).content.decode()
    assert 'data-put="id_plan" data-words="Looks again in ten days."' in shown
    assert "Out of use." not in shown
    assert "Of another practice." not in shown


def test_without_script_a_tap_puts_it_after_what_was_typed_and_saves_nothing(as_mara, visit, block):
    typed = {"assessment": "Mine.", "plan": "Rests first.", "version": 1, "put": block.pk}
    shown = as_mara.post(reverse("note", args=[visit.pk]), typed)
    assert shown.context["form"]["plan"].value() == "Rests first.\nLooks again in ten days."
    assert shown.context["form"]["assessment"].value() == "Mine."
    assert text_of(visit).plan == "Look again in ten days."


def test_a_block_of_another_practice_cannot_be_put_in(as_mara, visit, ines):
    other = blocks.add_block(who=ines, **SAID)
    typed = {"assessment": "", "plan": "", "version": 1, "put": other.pk}
    assert as_mara.post(reverse("note", args=[visit.pk]), typed).status_code == 404
