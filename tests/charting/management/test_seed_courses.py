"""The courses of the demo practice: all written once, believable, refused elsewhere, never written twice."""

import io
from datetime import timedelta

import pytest
from django.core.management import CommandError, call_command
from django.utils import timezone

from charting.audit.models import AuditEntry
from charting.coding.models import DiagnosisCode
from charting.consent.models import Consent, ConsentConfirmed
from charting.contacts.models import Contact
from charting.episodes.models import Episode, EpisodeEvent
from charting.insurance.missing import missing_of
from charting.insurance.queries import cover_of
from charting.letters.models import Letter, SignedLetter
from charting.management import course_file, course_papers, course_visit, courses, demo
from charting.notes import kept_papers
from charting.notes.models import Addendum, AmendmentRequest, SignedNote, SignedPaper
from charting.outcomes.models import OutcomeScore
from charting.patients.models import Patient
from charting.staff.models import Practice, User
from charting.treatment.models import AdverseEvent, TreatmentEntry
from charting.visits.models import Visit


@pytest.fixture
def cheap_papers(monkeypatch):
    """A stand-in for the papers of a note, for speed: what they look like is tested with the papers, and one
    visit below is written with real ones.
    """
    monkeypatch.setattr(kept_papers.pdf, "render", lambda content, **how: b"%PDF of a test")


@pytest.fixture
def demo_practice(db):
    practice = Practice.objects.create(time_zone="UTC", **demo.load()["practice"])
    for person in demo.load()["staff"]:
        User.objects.create_user(practice=practice, password=demo.load()["password"], **person)
    return practice


@pytest.fixture
def two(monkeypatch):
    """Short courses that between them hold most of what a course can: a sensitive area with needles, a
    discharge of a person sent on.
    """
    short = tuple(each for each in course_file.load() if each.data["family_name"] in ("Petit", "Rahimi"))
    monkeypatch.setattr(course_file, "load", lambda: short)
    return short


def written() -> str:
    out = io.StringIO()
    call_command("seed_courses", stdout=out)
    return out.getvalue()


def rows() -> dict[str, int]:
    tables = (Patient, Visit, SignedNote, OutcomeScore, TreatmentEntry, Consent, ConsentConfirmed, Contact)
    tables += (AdverseEvent, EpisodeEvent, AuditEntry)
    return {table.__name__: table.objects.count() for table in tables}


def test_all_of_them_are_written_once_and_believable(demo_practice, cheap_papers):
    told = written()
    assert "12 courses written." in told
    began = timezone.now()
    insured_in_full()
    written_afterwards()
    assert Patient.objects.count() == 12
    expected = sum(len(course.visits) for course in course_file.load())
    assert Visit.objects.count() == expected
    assert Visit.objects.filter(signed_at=None).count() == 1
    for person in Patient.objects.all():
        visits = list(person.visits.order_by("started_at").select_related("episode"))
        days = [visit.started_at.date() for visit in visits]
        assert len(set(days)) == len(days) >= 2, person
        assert days[-1] - days[0] >= timedelta(days=13), person
        assert all(day.weekday() < 5 for day in days), person
        assert all(row.outcome_scores.exists() and row.treatments.exists() for row in visits), person
        assert OutcomeScore.objects.filter(visit__in=visits, instrument="psfs").count() == len(visits)
        (episode,) = person.episodes.all()
        assert episode.title
        assert person.created_at < visits[0].started_at
    for visit in Visit.objects.exclude(signed_at=None):
        assert timedelta(minutes=20) < visit.signed_at - visit.started_at < timedelta(hours=2), visit
        assert visit.signed_at < began
    assert {event.what for event in EpisodeEvent.objects.all()} == {"discharged", "reopened"}
    assert Episode.objects.exclude(closed_at=None).count() == 4
    assert AdverseEvent.objects.count() == 3
    assert Consent.objects.filter(text_id="buttock").exists() and ConsentConfirmed.objects.exists()
    said = AuditEntry.objects.filter(action=courses.WRITTEN)
    assert said.count() == 12
    assert all(began - entry.at < timedelta(minutes=20) for entry in said)

    before = rows()
    assert "0 courses written." in written()
    assert rows() == before


def test_a_course_half_made_is_finished_and_nothing_stands_twice(demo_practice, two, cheap_papers):
    steps = iter([True] * 4)
    courses.write_all(go_on=lambda: next(steps, False))
    assert Visit.objects.count() == 1
    assert len(courses.left()) == 2
    assert "2 courses written." in written()
    assert Visit.objects.count() == 4
    assert Patient.objects.count() == 2
    assert "0 courses written." in written()


def test_a_visit_that_was_not_signed_when_the_machine_stopped_is_signed(
    demo_practice, two, cheap_papers, monkeypatch
):
    def stops(who, visit):
        raise KeyboardInterrupt

    with monkeypatch.context() as stopping, pytest.raises(KeyboardInterrupt):
        stopping.setattr(course_visit, "sign", stops)
        courses.write_all()
    assert Visit.objects.filter(signed_at=None).count() == 1
    courses.write_all()
    assert not Visit.objects.filter(signed_at=None).exists()


def test_its_papers_are_real_where_nothing_stands_in_for_them(demo_practice, two):
    steps = iter([True] * 3)
    courses.write_all(go_on=lambda: next(steps, False))
    (note,) = SignedNote.objects.all()
    assert note.signed_at < timezone.now() - timedelta(days=30)
    papers = SignedPaper.objects.filter(note=note)
    assert papers.count() == 2
    assert all(bytes(paper.pdf).startswith(b"%PDF-") and len(bytes(paper.pdf)) > 10_000 for paper in papers)


@pytest.mark.parametrize("name", ["Physiotherapy by the Mill", None])
def test_it_refuses_where_the_practice_is_not_the_demo_practice(db, name):
    if name:
        Practice.objects.create(name=name, time_zone="UTC")
    with pytest.raises(CommandError, match="demo practice only"):
        call_command("seed_courses")
    assert not Patient.objects.exists()


def insured_in_full() -> None:
    """Whoever pays, nothing that is asked is missing."""
    insured = [each for each in course_file.load() if "insured" in each.data]
    assert {each.data["insured"]["payer"] for each in insured} == set(course_papers.payers())
    for course in insured:
        episode = Episode.objects.get(patient__family_name=course.data["family_name"])
        assert not [one.what for one in missing_of(episode, paper="progress")]
    cover = cover_of(Episode.objects.get(patient__family_name="Ferrante"))
    assert cover
    (agreed,) = cover.authorisations
    assert (agreed.used, agreed.left) == (4, 2)
    # Each line was recorded once, when it began.
    assert [line.status for line in cover.works] == ["limited", "full", "limited"]
    assert all(line.recorded_at.date() >= line.from_on for line in cover.works)


def written_afterwards() -> None:
    """Letters of each kind are signed, notes have later entries, one request waits, codes stand."""
    assert set(SignedLetter.objects.values_list("letter__kind", flat=True)) == set(Letter.Kind.values)
    assert set(Addendum.objects.values_list("kind", flat=True)) == {"late", "correction"}
    (request,) = AmendmentRequest.objects.all()
    assert not request.steps.exists()
    coded = set(DiagnosisCode.objects.values_list("code", flat=True))
    assert coded == {text for course in course_file.load() for each in course.visits for text in codes(each)}


def codes(said) -> list[str]:
    return [text.partition(": ")[0] for text in said.get("codes", ())]
