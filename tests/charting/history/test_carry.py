"""A follow-up visit brings forward what seldom changes, says so, and asks the rest again."""

from datetime import timedelta

import pytest
from django.utils import timezone

from charting.episodes.models import Episode
from charting.history import carrying, services
from charting.history.models import StoryAnswer
from charting.history.queries import answers_of, case_of
from charting.report.told import story as printed
from charting.versioning import Stale
from charting.visits.models import Visit
from charting.visits.services import VisitSigned
from tests.charting import recorded

FIRST = {
    "onset": "gradual",
    "work": "Bookbinder",
    "dominant_hand": "left",
    "course": "worse",
    "brings_on": ("reach",),
    "medication": "Ibuprofen",
    "conditions": ("diabetes",),
    "treatments": ("exercise",),
}


@pytest.fixture
def later(blank, mara):
    """The second visit of one complaint; the first told its story."""
    said = {"complaint": "Ache in the arm.", "history": "Since spring.", "answers": FIRST}
    services.save_story(who=mara, visit=blank, version=0, **said)
    visit = Visit.objects.create(patient=blank.patient, clinician=mara, episode=blank.episode)
    Visit.objects.filter(pk=visit.pk).update(started_at=blank.started_at + timedelta(days=14))
    visit.refresh_from_db()
    return visit


def carry(mara, visit, version=0):
    return services.carry_forward(who=mara, visit=visit, version=version)


def test_the_file_names_only_questions_of_the_story():
    assert "work" in carrying.stable()
    with pytest.raises(carrying.CarriedError, match="no such question of the story: anticoagulant"):
        carrying.read({"stable": ["anticoagulant"]})
    with pytest.raises(carrying.CarriedError, match="stands twice"):
        carrying.read({"stable": ["work", "work"]})


def test_what_bears_on_safety_or_changes_is_never_carried(later, mara):
    carry(mara, later)
    here = set(StoryAnswer.objects.filter(visit=later).values_list("key", flat=True))
    assert here == {"onset", "work", "dominant_hand"}


def test_nothing_is_carried_before_somebody_says_so(later, as_mara):
    page = as_mara.get(f"/visits/{later.pk}/story/").content.decode()
    assert "Bring these forward" in page and "Bookbinder" in page and "Ache in the arm." in page
    assert not StoryAnswer.objects.filter(visit=later).exists()
    assert "work" not in case_of(later)


def test_each_keeps_the_visit_that_asked_it(later, blank, mara, as_mara):
    assert as_mara.post(f"/visits/{later.pk}/story/carry/", {"version": "0"}).status_code == 302
    row = StoryAnswer.objects.get(visit=later, key="work")
    assert (row.value, row.carried_from) == ("Bookbinder", blank)
    third = Visit.objects.create(patient=later.patient, clinician=mara, episode=later.episode)
    carry(mara, third)
    assert StoryAnswer.objects.get(visit=third, key="work").carried_from == blank


def test_page_and_note_say_that_it_was_not_asked_again(later, blank, mara, as_mara):
    carry(mara, later)
    # By the clock of the practice, as every page is.
    with timezone.override(later.patient.practice.zone):
        said = [each for group in answers_of(later) for each in group.answers if each.key == "work"]
        printed_groups = str(printed(later)["groups"])
    assert said[0].carried
    words = f"(from {said[0].carried}, not asked again)"
    assert words in as_mara.get(f"/visits/{later.pk}/story/").content.decode()
    assert words in printed_groups


def test_what_is_changed_is_asked_today(later, mara):
    row = carry(mara, later)
    changed = {"work": "Retired", "onset": "gradual"}
    services.save_answers(who=mara, visit=later, version=row.version, answers=changed, told_by="clinician")
    rows = {each.key: each for each in StoryAnswer.objects.filter(visit=later)}
    assert rows["work"].carried_from is None
    assert rows["onset"].carried_from is not None


def test_what_was_answered_here_stays(later, mara):
    told = {"answers": {"work": "Retired"}, "told_by": "clinician"}
    row = services.save_answers(who=mara, visit=later, version=0, **told)
    carry(mara, later, row.version)
    assert StoryAnswer.objects.get(visit=later, key="work").value == "Retired"


def test_a_second_tap_brings_nothing_and_a_late_one_is_told(later, mara):
    carry(mara, later)
    count = StoryAnswer.objects.filter(visit=later).count()
    carry(mara, later)
    assert StoryAnswer.objects.filter(visit=later).count() == count
    StoryAnswer.objects.filter(visit=later, key="work").delete()
    with pytest.raises(Stale):
        carry(mara, later, version=7)


def test_another_complaint_and_a_signed_visit_carry_nothing(later, blank, mara, anna):
    other = Episode.objects.create(patient=anna, opened_at=blank.started_at, opened_by=mara, title="Knee")
    knee = Visit.objects.create(patient=anna, clinician=mara, episode=other)
    assert carrying.offer(knee) is None
    Visit.objects.filter(pk=later.pk).update(signed_at=later.started_at)
    later.refresh_from_db()
    assert carrying.offer(later) is None
    with pytest.raises(VisitSigned):
        carry(mara, later)


def test_the_first_visit_has_nothing_to_bring(mara, practice):
    first = Visit.objects.create(patient=recorded.patient(practice, number=77), clinician=mara)
    assert carrying.offer(first) is None
