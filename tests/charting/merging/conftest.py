"""Anna, registered a second time under another number, with something recorded in both."""

from datetime import date

import pytest

from charting.history.models import StandingFact
from charting.merging import queries, services
from charting.patients.models import Patient
from charting.visits.models import Visit


def known(visit, key, value):
    """A fact as confirmed in a visit."""
    told = {"patient": visit.patient, "confirmed_by": visit.clinician, "key": key, "value": value}
    return StandingFact.objects.create(visit=visit, **told)


@pytest.fixture
def twice(anna, practice) -> Patient:
    return Patient.objects.create(
        practice=practice,
        record_number=2001,
        family_name="Keller",
        given_names="Anna",
        birth_date=date(1978, 5, 3),
        search_name="anna keller",
        phone="000 22",
    )


@pytest.fixture
def her_visit(twice, mara) -> Visit:
    """A visit of the second record."""
    return Visit.objects.create(patient=twice, clinician=mara)


@pytest.fixture
def merged(anna, twice, mara):
    """merged(named="...") makes the two one, and gives the row."""

    def now(kept=anna, gone=twice, **more):
        said = {
            "seen": queries.state_of(kept, gone),
            "named": str(gone.record_number),
            "known": frozenset(services.TELLING_APART),
            "values": {},
            "reason": "Asked on the phone.",
        }
        return services.merge(who=mara, kept=kept, gone=gone, **{**said, **more})

    return now
