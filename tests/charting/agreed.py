"""Consents for tests: signed in an earlier visit, with the words that are signed today."""

from collections.abc import Sequence

from charting.consent.models import Consent
from charting.consent.queries import texts_in_use
from charting.visits.models import Visit


def a_consent(visit: Visit, text: str = "examination", areas: Sequence[str] = (), **more) -> Consent:
    """Signed in this visit."""
    words = texts_in_use(visit.patient.practice)[text]
    said = {"title": words.title, "body": words.body, "procedure": words.procedure, "signature": []}
    return Consent.objects.create(
        visit=visit,
        text_id=text,
        text_version=words.version,
        explained_by=visit.clinician,
        signer_name="Anna Keller",
        **{**said, "areas": list(areas), **more},
    )


def an_earlier(visit: Visit, text: str = "examination", areas: Sequence[str] = (), **more) -> Consent:
    """Signed in a visit before."""
    before = Visit.objects.create(patient=visit.patient, clinician=visit.clinician)
    return a_consent(before, text, areas, **more)
