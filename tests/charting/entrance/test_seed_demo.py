"""The demo practice: invented, quick, made through the services, and only where there is none."""

import io

import pytest
from django.core.management import CommandError, call_command

from charting.audit.models import AuditEntry
from charting.candidates.queries import ranked
from charting.drawing import areas
from charting.drawing.models import StoredStroke
from charting.drawing.queries import drawing_of
from charting.handover.models import HandOver
from charting.management import demo
from charting.notes import kept_papers
from charting.notes.models import SignedNote
from charting.patients.models import Patient
from charting.staff.models import Practice, User
from charting.visits.models import Visit


@pytest.fixture
def told(db, monkeypatch):
    """Quickly: what the papers look like is tested with the papers."""
    monkeypatch.setattr(kept_papers.pdf, "render", lambda content, **how: b"%PDF")
    out = io.StringIO()
    call_command("seed_demo", stdout=out)
    return out.getvalue()


def of_first_patient():
    return Visit.objects.get(patient__family_name=demo.load()["patient"][0]["family_name"])


def test_it_says_how_to_sign_in(told, client):
    assert told.startswith("Demo practice")
    for person in demo.load()["staff"]:
        assert person["username"] in told
        sign_in = {"username": person["username"], "password": demo.load()["password"]}
        assert client.post("/sign-in/", sign_in).status_code == 302
    assert told.strip() == demo.sign_in_words()


def test_it_says_nothing_of_a_demo_in_a_practice_of_its_own(practice):
    assert demo.sign_in_words() == ""


def test_it_has_somebody_in_every_role(told):
    assert set(User.objects.values_list("role", flat=True)) == set(User.Role.values)


def test_it_refuses_where_there_is_a_practice(practice):
    with pytest.raises(CommandError, match="already"):
        call_command("seed_demo")
    assert list(Practice.objects.all()) == [practice]
    assert not Patient.objects.exists()


def test_it_leaves_an_audit_row_for_everything(told):
    rows = AuditEntry.objects.values_list("object_type", "object_id")
    for table in (Practice, User, Patient, Visit):
        for row in table.objects.all():
            assert (table._meta.model_name, str(row.pk)) in rows


def test_its_drawing_is_the_patients_own_and_the_device_is_back(told):
    assert set(StoredStroke.objects.values_list("drawn_by", flat=True)) == {"patient"}
    assert not HandOver.objects.filter(ended_at=None).exists()
    drawing = drawing_of(of_first_patient())
    assert {mark.view for mark in drawing.marks} == {"front", "back"}
    assert drawing.intensities == {}


def test_its_areas_are_answered_and_hang_together(told):
    read = areas.told(drawing_of(of_first_patient()))
    shoulder, thumb = read.areas
    assert (shoulder.answers.now, thumb.answers.now) == ({"ache": 6}, {"tingling": 3})
    assert (thumb.answers.link, thumb.linked) == ("after", 1)
    assert [spot.view for spot in read.spots] == ["front"]
    assert "shoulder left" in read.cleared


def test_one_muscle_explains_both_areas_of_the_finished_visit(told):
    """Descending trapezius refers to the side of the neck, behind the ear and to the temple (Simons, Travell,
    Simons 1999, chapter on trapezius; from memory)."""
    finished = Visit.objects.get(patient__family_name=demo.load()["patient"][3]["family_name"])
    first = ranked(finished).explanation.whole[0]
    assert (first.muscle, first.side, first.explains) == ("trapezius_upper", "right", (1, 2))


def test_its_drawing_can_be_ranked_at_once(told):
    visit = of_first_patient()
    first = [(match.muscle, match.side) for match in ranked(visit).ranking.muscles[:3]]
    assert ("infraspinatus", "right") in first


def test_one_visit_is_finished_with_everything_a_note_can_hold(told):
    note = SignedNote.objects.get()
    assert note.visit.is_signed
    assert {paper.paper for paper in note.papers.all()} == {"a4", "letter"}
    assert note.content["screening"]["differences"]
    assert note.content["consents"][0]["signature"]
    assert note.content["candidates"]["lines"]
    assert note.content["assessment"] and note.content["plan"]
    assert Visit.objects.filter(signed_at=None).count() == 2
