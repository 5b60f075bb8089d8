"""Every write to consents: sign, confirm by word of mouth, withdraw. No row is ever changed (triggers)."""

from collections.abc import Sequence

from django.core.exceptions import PermissionDenied
from django.db import transaction

from charting.audit.services import record
from charting.consent import circumstances as told
from charting.consent import signature as ink
from charting.consent.circumstances import Circumstances
from charting.consent.coverage import Standing
from charting.consent.models import Consent, ConsentConfirmed, ConsentWithdrawn
from charting.consent.queries import changed_since, signed_just_so, texts_in_use
from charting.consent.texts import ConsentText
from charting.drafts.services import forget
from charting.flags.queries import require_cleared
from charting.patients.access import charts_of
from charting.patients.models import Patient
from charting.staff.models import User
from charting.staff.rights import require
from charting.visits.models import Visit
from charting.visits.services import require_open


class AnotherVersion(Exception):
    """What was read is not what would be stored: the text or the answers under it changed since."""

    def __init__(
        self, words: str = "This text has a newer version. It is shown below; read it, then sign."
    ) -> None:
        super().__init__(words)


class CannotConfirm(Exception):
    """This consent can't be confirmed by word of mouth; the text says why and what to do instead."""


def draft_key(visit: Visit, text: ConsentText) -> str:
    return f"consent:{text.id}:{visit.pk}"


def confirm_key(visit: Visit, consent: Consent) -> str:
    return f"confirm:{visit.pk}:{consent.pk}"


def withdrawal_key(patient: Patient) -> str:
    return f"withdraw:{patient.pk}"


@transaction.atomic
def sign(
    *,
    who: User,
    visit: Visit,
    text: ConsentText,
    version: int,
    signer: str,
    signer_name: str,
    questions: str,
    signature: ink.Strokes,
    by_typed_name: bool,
    device_time: str,
    around: Circumstances = told.NONE,
    answers_read: str = "",
) -> Consent:
    """Store a consent with the words as they were read; `who` explained them. A second tap stores nothing.

    `answers_read`: the mark of the answers that stood under the text, "" when nothing was shown.
    Raises PermissionDenied, VisitSigned, AnotherVersion; FlagsOpen for consent to treatment while a sign of
    danger waits for a decision; Incomplete; NoSignature without ink unless signed by typed name.
    """
    require(who, "treat")
    require_open(visit)
    if told.treats(text, around):
        require_cleared(visit)
    if version != text.version:
        raise AnotherVersion
    answers = told.answers_of(text, visit)
    if answers_read and answers_read != told.mark_of(answers):
        raise AnotherVersion("The answers on record changed meanwhile. Read them below, then sign.")
    if lacking := told.missing(text, signer, around):
        raise told.Incomplete(lacking)
    strokes = [] if by_typed_name else ink.check(signature)
    if not by_typed_name and not strokes:
        raise ink.NoSignature("Sign in the box, or sign by the typed name.")
    before = signed_just_so(visit, text, signer_name=signer_name, signature=strokes, areas=around.areas)
    if before:
        return before
    row = Consent.objects.create(
        visit=visit,
        text_id=text.id,
        text_version=text.version,
        title=text.title,
        body=told.with_answers(text.body, answers),
        explained_by=who,
        signer=signer,
        signer_name=signer_name,
        questions=questions,
        signature=strokes,
        device_time=device_time,
        procedure=told.procedure_of(text, around),
        areas=list(around.areas),
        guardian_relation=around.guardian_relation if signer == Consent.Signer.GUARDIAN else "",
        interpreter=around.interpreter,
        chaperone=around.chaperone,
        chaperone_name=around.chaperone_name,
    )
    forget(who=who, key=draft_key(visit, text))
    record(who=who, did="took consent", what=row, visit=str(visit.pk), text=text.id, version=text.version)
    return row


@transaction.atomic
def confirm(
    *,
    who: User,
    visit: Visit,
    consent: Consent,
    questions: str = "",
    chaperone: str = "",
    chaperone_name: str = "",
) -> ConsentConfirmed:
    """The person says again, by word of mouth, in this visit, what was signed in an earlier one. A second tap
    stores nothing.

    Raises PermissionDenied, VisitSigned; FlagsOpen as `sign`; CannotConfirm for one that was taken back, or
    whose text reads otherwise now; Incomplete without a word about the chaperone in a sensitive area.
    """
    require(who, "treat")
    require_open(visit)
    _require_same_person(visit.patient, consent)
    before = ConsentConfirmed.objects.filter(consent=consent, visit=visit).first()
    if before:
        return before
    _require_confirmable(visit, consent)
    if Standing(consent).procedures != ("examination",):
        require_cleared(visit)
    if lacking := told.about_chaperone(bool(Standing(consent).sensitive), chaperone, chaperone_name):
        raise told.Incomplete(lacking)
    row = ConsentConfirmed.objects.create(
        consent=consent,
        visit=visit,
        questions=questions,
        chaperone=chaperone,
        chaperone_name=chaperone_name if chaperone else "",
        confirmed_by=who,
    )
    forget(who=who, key=confirm_key(visit, consent))
    record(who=who, did="confirmed consent", what=row, visit=str(visit.pk), consent=consent.pk)
    return row


@transaction.atomic
def withdraw(
    *, who: User, patient: Patient, consents: Sequence[Consent], said_by: str, words: str
) -> tuple[ConsentWithdrawn, ...]:
    """Take consents back, during a visit or between two: nothing more is covered by them, the record stays.

    One that was taken back before is left as it is. Raises PermissionDenied.
    """
    require(who, "treat")
    if not charts_of(who).filter(pk=patient.pk).exists():
        raise PermissionDenied("This person is registered with another practice.")
    made = []
    for consent in consents:
        _require_same_person(patient, consent)
        said = {"said_by": said_by, "words": words, "recorded_by": who}
        row, new = ConsentWithdrawn.objects.get_or_create(consent=consent, defaults=said)
        if new:
            record(who=who, did="recorded withdrawal of consent", what=row, consent=consent.pk)
            made.append(row)
    forget(who=who, key=withdrawal_key(patient))
    return tuple(made)


def _require_same_person(patient: Patient, consent: Consent) -> None:
    if consent.visit.patient_id != patient.pk:
        raise PermissionDenied("This consent belongs to another person.")


def _require_confirmable(visit: Visit, consent: Consent) -> None:
    if ConsentWithdrawn.objects.filter(consent=consent).exists():
        raise CannotConfirm("This consent was withdrawn. If the person agrees again, have it signed again.")
    if consent.visit_id == visit.pk:
        raise CannotConfirm("This consent was signed in this visit: there is nothing to confirm.")
    text = texts_in_use(visit.patient.practice).get(consent.text_id)
    if text is None:
        raise CannotConfirm("The text of this consent is out of use. Have another one read and signed.")
    if changed_since(consent, text):
        raise CannotConfirm("The text was changed since this was signed. Have it read and signed anew.")
