"""Every table with a key to a person, and what becomes of its rows when two records are made one."""

from django.db.models import Model

from charting.appointments.models import Appointment
from charting.contacts.models import Attachment, Contact
from charting.episodes.models import Episode
from charting.history.models import StandingFact
from charting.insurance.models import Policy
from charting.letters.models import Letter
from charting.merging.models import PatientMerge
from charting.notes.models import AmendmentRequest
from charting.patients.models import EmergencyAccess, Patient, PatientIdentifier, PatientSite
from charting.report.models import IssuedPaper
from charting.treatment.models import AdverseEvent
from charting.visits.models import Visit

# By name: rows whose `patient` is set anew. What hangs on them (notes, drawings, claims) comes along.
MOVED: dict[str, type[Model]] = {
    "visits": Visit,
    "episodes": Episode,
    "appointments": Appointment,
    "policies": Policy,
    "letters": Letter,
    "identifiers": PatientIdentifier,
    "sites": PatientSite,
    "emergencies": EmergencyAccess,
}
# Of these, what was made since a merge stays with the record that stayed: nobody is asked about each.
NOT_ASKED = frozenset({"sites", "emergencies"})
# Rows that never change: they stay under their record and are read through both (patients.queries.of_person,
# of_person_or_visit: a row that names a visit follows it).
STAY: dict[str, type[Model]] = {
    "contacts": Contact,
    "papers": Attachment,
    "facts": StandingFact,
    "reactions": AdverseEvent,
    "given": IssuedPaper,
    "requests": AmendmentRequest,
}
# Keys that are the merge itself.
OWN = {
    (Patient, "merged_into"),
    (PatientMerge, "kept"),
    (PatientMerge, "gone"),
    (Visit, "made_under"),
}
WORDS = {
    "visits": "visit",
    "episodes": "complaint",
    "appointments": "appointment",
    "policies": "insurance policy",
    "letters": "letter",
    "identifiers": "number of another system",
    "sites": "site where the person is seen",
    "emergencies": "opening in an emergency",
    "contacts": "line of the contact log",
    "papers": "page of papers from others",
    "facts": "answer that stays with the person",
    "reactions": "reaction to treatment",
    "given": "copy given out",
    "requests": "request to amend the record",
}
PLURALS = {
    "policies": "insurance policies",
    "identifiers": "numbers of other systems",
    "sites": "sites where the person is seen",
    "emergencies": "openings in an emergency",
    "contacts": "lines of the contact log",
    "papers": "pages of papers from others",
    "facts": "answers that stay with the person",
    "reactions": "reactions to treatment",
    "given": "copies given out",
    "requests": "requests to amend the record",
}


def counted(name: str, count: int) -> str:
    """ "1 visit", "3 visits" """
    if count == 1:
        return f"1 {WORDS[name]}"
    return f"{count} {PLURALS.get(name, WORDS[name] + 's')}"
