"""Every read of letters. Each begins at the patients' door."""

import uuid

from django.db.models import QuerySet
from django.shortcuts import get_object_or_404

from charting.letters.models import Letter, LetterPaper, SignedLetter
from charting.patients.access import charts_of
from charting.patients.models import Patient
from charting.patients.queries import of_person_or_visit
from charting.report.models import IssuedPaper
from charting.report.papers import Signature
from charting.staff.models import User


def chart_of(user: User, patient_id: uuid.UUID) -> Patient:
    """A person whose chart this member of staff may open. Raises Http404."""
    return get_object_or_404(charts_of(user).select_related("practice"), pk=patient_id)


def letters_of(patient: Patient) -> tuple[Letter, ...]:
    """Those that are written and those that were signed, the newest first; discarded ones are left out."""
    known = Letter.objects.select_related("begun_by", "episode", "signed").filter(patient=patient)
    return tuple(known.filter(discarded_at=None))


def letter_of(user: User, patient_id: uuid.UUID, letter_id: uuid.UUID) -> Letter:
    """One of a person's letters, discarded ones left out. Raises Http404."""
    known = Letter.objects.select_related("patient__practice", "episode", "begun_by").filter(
        patient__in=charts_of(user), patient=patient_id, discarded_at=None
    )
    letter = get_object_or_404(known, pk=letter_id)
    letter.episode.patient = letter.patient
    return letter


def open_letter(episode_id: uuid.UUID, kind: str) -> Letter | None:
    """The one of this kind that is being written."""
    return Letter.objects.filter(episode=episode_id, kind=kind, signed_at=None, discarded_at=None).first()


def signed_of(letter: Letter) -> SignedLetter | None:
    return SignedLetter.objects.filter(letter=letter).first()


def signature_of(signed: SignedLetter) -> Signature:
    return Signature(
        name=signed.signer_name,
        title=signed.signer_title,
        registration=signed.signer_registration,
        meaning=signed.meaning,
        at=signed.signed_at,
        time_zone=signed.time_zone,
    )


def paper_of(signed: SignedLetter, paper: str) -> LetterPaper:
    return get_object_or_404(signed.papers, paper=paper)


def issued_of(patient: Patient) -> QuerySet[IssuedPaper]:
    """Copies of consents and home programmes that were given out, the newest first, without their bytes."""
    known = IssuedPaper.objects.select_related("issued_by").filter(of_person_or_visit(patient))
    return known.defer("pdf").order_by("-issued_at", "-pk")


def issued_paper(user: User, patient_id: uuid.UUID, issued_id: int) -> IssuedPaper:
    """Raises Http404."""
    return get_object_or_404(issued_of(chart_of(user, patient_id)), pk=issued_id)
