"""Two people sign at the same moment: one note, and a clear word to everybody else."""

import time
from concurrent.futures import ThreadPoolExecutor

import pytest
from django.db import connection

from charting.audit.models import AuditEntry
from charting.drawing.models import StoredStroke
from charting.drawing.services import save_events
from charting.history.services import save_story
from charting.notes import kept_papers, services
from charting.notes.models import SignedNote, SignedPaper
from charting.notes.services import AlreadySigned
from charting.report import pdf
from charting.visits.models import Visit
from charting.visits.services import VisitSigned
from tests.charting import recorded
from tests.charting.drawing.strokes import stroke
from tests.charting.recorded import PASSWORD

SIGNERS = 6


@pytest.mark.django_db(transaction=True)
def test_it_lets_exactly_one_of_many_sign(monkeypatch):
    monkeypatch.setattr(pdf, "render", lambda content, **how: b"%PDF")
    here = recorded.practice()
    people = [recorded.member(here, f"signer{number}") for number in range(SIGNERS)]
    visit = recorded.whole_visit(recorded.patient(here), people[0])
    read = recorded.as_read(visit)

    def sign(who):
        try:
            services.sign(who=who, visit=Visit.objects.get(pk=visit.pk), password=PASSWORD, read=read)
            return "signed"
        except AlreadySigned as problem:
            return str(problem)
        finally:
            connection.close()

    with ThreadPoolExecutor(SIGNERS) as pool:
        told = list(pool.map(sign, people))
    assert told.count("signed") == 1
    assert sum("signed already by" in each for each in told) == SIGNERS - 1
    assert SignedNote.objects.count() == 1
    assert SignedPaper.objects.count() == 2
    assert AuditEntry.objects.filter(action="signed").count() == 1


def draw_late(who, visit):
    sent = [stroke(99)]
    return save_events(who=who, visit=visit, drawn_by="patient", sent=sent).refused[0][1]


def write_late(who, visit):
    try:
        save_story(who=who, visit=visit, version=1, complaint="Late.", history="")
    except VisitSigned as problem:
        return str(problem)
    return "saved"


@pytest.mark.django_db(transaction=True)
@pytest.mark.parametrize("act", [draw_late, write_late])
def test_nothing_slips_in_while_a_visit_is_being_signed(monkeypatch, act):
    """Somebody writes after the last look at the record and before the signature is committed."""
    here = recorded.practice()
    mara = recorded.member(here, "mara")
    visit = recorded.whole_visit(recorded.patient(here), mara)
    strokes = StoredStroke.objects.count()
    late = []

    def write():
        try:
            return act(mara, Visit.objects.get(pk=visit.pk))
        finally:
            connection.close()

    def papers(*args):
        late.append(pool.submit(write))
        time.sleep(0.3)

    monkeypatch.setattr(pdf, "render", lambda content, **how: b"%PDF")
    monkeypatch.setattr(kept_papers, "store", papers)
    with ThreadPoolExecutor(1) as pool:
        read = recorded.as_read(visit)
        note = services.sign(who=mara, visit=visit, password=PASSWORD, read=read)
    assert "signed" in late[0].result()
    assert StoredStroke.objects.count() == strokes
    assert note.content["story"]["complaint"] == Visit.objects.get(pk=visit.pk).story.complaint
