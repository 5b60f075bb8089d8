"""The one write to consents: sign. A row is never changed afterwards (triggers)."""

from django.db import transaction

from charting.audit.services import record
from charting.consent import signature as ink
from charting.consent.models import Consent
from charting.consent.queries import signed_just_so
from charting.consent.texts import ConsentText
from charting.drafts.services import forget
from charting.flags.queries import require_cleared
from charting.staff.models import User
from charting.staff.rights import require
from charting.visits.models import Visit
from charting.visits.services import require_open


class AnotherVersion(Exception):
    """The text was changed since the page was opened: what was read is not what would be stored."""

    def __init__(self) -> None:
        super().__init__("This text has a newer version. It is shown below; read it, then sign.")


def draft_key(visit: Visit, text: ConsentText) -> str:
    return f"consent:{text.id}:{visit.pk}"


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
) -> Consent:
    """Store a consent with the words as they were read; `who` explained them. A second tap stores nothing.

    Raises PermissionDenied, VisitSigned, AnotherVersion; FlagsOpen for consent to treatment while a sign of
    danger waits for a decision; NoSignature without ink unless signed by typed name.
    """
    require(who, "treat")
    require_open(visit)
    if text.treats:
        require_cleared(visit)
    if version != text.version:
        raise AnotherVersion
    strokes = [] if by_typed_name else ink.check(signature)
    if not by_typed_name and not strokes:
        raise ink.NoSignature("Sign in the box, or sign by the typed name.")
    before = signed_just_so(visit, text, signer_name=signer_name, signature=strokes)
    if before:
        return before
    row = Consent.objects.create(
        visit=visit,
        text_id=text.id,
        text_version=text.version,
        title=text.title,
        body=text.body,
        explained_by=who,
        signer=signer,
        signer_name=signer_name,
        questions=questions,
        signature=strokes,
        device_time=device_time,
    )
    forget(who=who, key=draft_key(visit, text))
    record(who=who, did="took consent", what=row, visit=str(visit.pk), text=text.id, version=text.version)
    return row
