"""Two people sign at the same moment: one note, and a clear word to everybody else."""

from concurrent.futures import ThreadPoolExecutor

import pytest
from django.db import connection

from charting.audit.models import AuditEntry
from charting.notes import services
from charting.notes.models import SignedNote, SignedPaper
from charting.notes.services import AlreadySigned
from charting.visits.models import Visit
from tests.charting import recorded
from tests.charting.recorded import PASSWORD

SIGNERS = 6


@pytest.mark.django_db(transaction=True)
def test_it_lets_exactly_one_of_many_sign(monkeypatch):
    monkeypatch.setattr(services.pdf, "render", lambda content, **how: b"%PDF")
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
