"""Which episode a visit belongs to: what is open, the same complaint again, or a new one."""

import threading
import uuid

import pytest
from django.db import close_old_connections

from charting.episodes.models import Episode
from charting.episodes.services import About, AskWhich, NotDone
from charting.visits.models import Visit
from charting.visits.services import start
from tests.charting import recorded
from tests.charting.episodes.cared import a_discharged_one, an_episode


def begin(who, patient, **about):
    return start(who=who, patient=patient, clinician=who, id=uuid.uuid4(), about=About(**about))


def test_the_first_visit_begins_an_episode_and_the_next_goes_on_with_it(anna, mara):
    first, second = begin(mara, anna), begin(mara, anna)
    assert first.episode == second.episode and first.episode.title == "" and first.episode.opened_by == mara


def test_another_complaint_begins_a_second_one_beside_it(anna, mara):
    first, other = begin(mara, anna), begin(mara, anna, is_new=True, title="Left knee")
    assert first.episode != other.episode and other.episode.title == "Left knee"
    assert begin(mara, anna, episode=first.episode.pk).episode == first.episode


def test_the_same_new_complaint_from_two_pages_is_one(anna, mara):
    first, other = (begin(mara, anna, is_new=True, title=title) for title in ("Left knee", "left  Knee"))
    assert first.episode == other.episode


def test_a_new_complaint_needs_a_title(anna, mara):
    with pytest.raises(NotDone, match="title"):
        begin(mara, anna, is_new=True, title=" ")
    assert not Visit.objects.exists() and not Episode.objects.exists()


def test_after_a_discharge_it_asks_which(anna, mara):
    a_discharged_one(anna, mara)
    with pytest.raises(AskWhich):
        begin(mara, anna)
    assert Visit.objects.count() == 1


def test_the_same_complaint_again_reopens_it_with_the_words(anna, mara):
    episode = a_discharged_one(anna, mara)
    visit = begin(mara, anna, episode=episode.pk, words="Back after gardening.")
    assert visit.episode == episode and Episode.objects.get().is_open
    assert episode.events.last().words == "Back after gardening."


def test_it_reopens_nothing_without_words_and_begins_no_visit_then(anna, mara):
    episode = a_discharged_one(anna, mara)
    with pytest.raises(NotDone, match="Write why"):
        begin(mara, anna, episode=episode.pk)
    assert Visit.objects.count() == 1 and not Episode.objects.get().is_open


def test_who_may_not_treat_is_not_asked_and_reopens_nothing(anna, mara, poll):
    a_discharged_one(anna, mara)
    visit = start(who=poll, patient=anna, clinician=mara, id=uuid.uuid4())
    assert visit.episode.title == "" and Episode.objects.count() == 2


def test_the_complaint_of_another_person_is_refused(anna, mara):
    other = an_episode(recorded.patient(anna.practice, number=2), mara)
    with pytest.raises(NotDone, match="not one of this person's"):
        begin(mara, anna, episode=other.pk)


def test_a_visit_sent_twice_reopens_once(anna, mara):
    episode, same = a_discharged_one(anna, mara), uuid.uuid4()
    about = About(episode=episode.pk, words="Back.")
    for _ in range(2):
        start(who=mara, patient=anna, clinician=mara, id=same, about=about)
    assert episode.events.count() == 2 and Visit.objects.count() == 2


@pytest.mark.django_db(transaction=True)
def test_two_visits_begun_at_once_make_one_episode(anna, mara):
    gate, failed = threading.Barrier(4), []

    def run():
        try:
            gate.wait(timeout=20)
            begin(mara, anna)
        except Exception as problem:  # noqa: BLE001 - told below
            failed.append(problem)
        finally:
            close_old_connections()

    threads = [threading.Thread(target=run) for _ in range(4)]
    for each in threads:
        each.start()
    for each in threads:
        each.join()
    assert failed == [] and Visit.objects.count() == 4 and Episode.objects.count() == 1
