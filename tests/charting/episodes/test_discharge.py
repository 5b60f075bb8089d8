"""An episode ends once, with reason and outcomes, when each visit of it is signed; it may go on again."""

import pytest
from django.core.exceptions import PermissionDenied
from django.db import DatabaseError, transaction
from django.utils import timezone

from charting.audit.models import AuditEntry
from charting.episodes.models import Episode, EpisodeEvent
from charting.episodes.queries import episodes_of, last_discharge, visits_in
from charting.episodes.services import NotDone, discharge, name, reopen
from charting.versioning import Stale
from charting.visits.models import Visit
from tests.charting.episodes.cared import an_episode

SUMMARY = {"visits": 3, "pain": {"first": 7, "last": 2}}
SAID = {"reason": "goals", "words": "Reaches overhead again.", "summary": SUMMARY}


def test_it_keeps_the_reason_the_words_and_the_outcomes_as_they_stood(anna, mara):
    episode = an_episode(anna, mara)
    event = discharge(who=mara, episode=episode, **SAID)
    assert (event.get_reason_display(), event.words, event.summary) == (
        "Goals reached",
        "Reaches overhead again.",
        SUMMARY,
    )
    assert Episode.objects.get().closed_at == event.done_at and not episode.is_open
    assert last_discharge(episode) == event


def test_it_says_which_visit_is_to_be_signed_first(anna, mara):
    episode = an_episode(anna, mara)
    Visit.objects.create(patient=anna, clinician=mara, episode=episode)
    today = timezone.localtime(timezone=anna.practice.zone)
    with pytest.raises(NotDone, match=f"the visit of {today.day} {today:%B %Y} with Mara Steiner"):
        discharge(who=mara, episode=episode, **SAID)
    assert Episode.objects.get().is_open and not EpisodeEvent.objects.exists()


def test_an_open_visit_of_another_complaint_is_no_hindrance(anna, mara):
    other = an_episode(anna, mara, title="Left knee")
    Visit.objects.create(patient=anna, clinician=mara, episode=other)
    discharge(who=mara, episode=an_episode(anna, mara), **SAID)


def test_it_is_discharged_once(anna, mara):
    episode = an_episode(anna, mara)
    discharge(who=mara, episode=episode, **SAID)
    with pytest.raises(NotDone, match="discharged already"):
        discharge(who=mara, episode=episode, **SAID)
    assert EpisodeEvent.objects.count() == 1


@pytest.mark.parametrize(
    ("wrong", "told"),
    [
        ({"reason": "tired"}, "why the episode ends"),
        ({"reason": "other", "words": " "}, "Write why it ends"),
        ({"words": "x" * 4001}, "at most 4000"),
    ],
)
def test_it_asks_for_a_reason_it_can_keep(anna, mara, wrong, told):
    with pytest.raises(NotDone, match=told):
        discharge(who=mara, episode=an_episode(anna, mara), **{**SAID, **wrong})


def test_it_goes_on_again_with_the_words_why(anna, mara):
    episode = an_episode(anna, mara)
    discharge(who=mara, episode=episode, **SAID)
    event = reopen(who=mara, episode=episode, words=" Same shoulder after a fall. ")
    assert (event.what, event.words, event.reason) == ("reopened", "Same shoulder after a fall.", "")
    assert Episode.objects.get().is_open and last_discharge(episode) is None
    discharge(who=mara, episode=episode, **SAID)
    assert [each.what for each in episode.events.all()] == ["discharged", "reopened", "discharged"]


def test_it_reopens_none_that_is_open_and_none_without_words(anna, mara):
    episode = an_episode(anna, mara)
    with pytest.raises(NotDone, match="open already"):
        reopen(who=mara, episode=episode, words="Again.")
    discharge(who=mara, episode=episode, **SAID)
    with pytest.raises(NotDone, match="Write why"):
        reopen(who=mara, episode=episode, words=" ")


def test_only_who_treats_here_ends_names_and_reopens(anna, mara, poll, vera, ines):
    episode = an_episode(anna, mara)
    for other in (poll, vera, ines):
        with pytest.raises(PermissionDenied):
            discharge(who=other, episode=episode, **SAID)
        with pytest.raises(PermissionDenied):
            name(who=other, episode=episode, version=1, title="Neck")
    discharge(who=mara, episode=episode, **SAID)
    for other in (poll, vera, ines):
        with pytest.raises(PermissionDenied):
            reopen(who=other, episode=episode, words="Again.")


def test_what_happened_to_an_episode_is_never_changed(anna, mara):
    event = discharge(who=mara, episode=an_episode(anna, mara), **SAID)
    for change in (lambda row: row.update(words="Other."), lambda row: row.delete()):
        with pytest.raises(DatabaseError, match="append-only"), transaction.atomic():
            change(EpisodeEvent.objects.filter(pk=event.pk))


def test_two_who_name_it_at_once_see_the_clash(anna, mara, tom):
    episode = an_episode(anna, mara)
    name(who=tom, episode=Episode.objects.get(), version=1, title="Right  shoulder ")
    with pytest.raises(Stale) as clash:
        name(who=mara, episode=episode, version=1, title="Neck")
    assert clash.value.current.title == "Right shoulder"


def test_the_open_ones_stand_first_then_those_discharged_last(anna, mara):
    first, second, third = (an_episode(anna, mara, title=title) for title in ("Neck", "Knee", "Heel"))
    discharge(who=mara, episode=first, **SAID)
    discharge(who=mara, episode=third, **SAID)
    assert episodes_of(anna) == (second, third, first)
    assert [visit.episode for visit in visits_in(first)] == [first]


def test_the_trail_holds_no_words_of_it(anna, mara):
    discharge(who=mara, episode=an_episode(anna, mara), **SAID)
    entry = AuditEntry.objects.get(action="discharged episode")
    assert entry.detail == {"patient": str(anna.pk), "reason": "goals"}
