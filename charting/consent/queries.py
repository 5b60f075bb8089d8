"""Every read of consents. A visit or a person given here came through the patients' door."""

from collections.abc import Sequence
from datetime import datetime

from django.db.models import Prefetch
from django.http import Http404
from django.utils import timezone

from charting.consent import texts
from charting.consent.circumstances import words_alone
from charting.consent.coverage import Asked, Coverage, Standing, judge
from charting.consent.models import Consent, ConsentConfirmed, ConsentTextVersion
from charting.consent.signature import Strokes
from charting.consent.texts import ConsentText
from charting.patients.models import Patient
from charting.staff.models import Practice
from charting.visits.models import Visit


def consents_of(visit: Visit) -> tuple[Consent, ...]:
    """What was signed in this visit, in order."""
    return tuple(Consent.objects.filter(visit=visit).select_related("explained_by"))


def standing(patient: Patient) -> tuple[Standing, ...]:
    """Every consent of a person, also those taken back, signed first first. Two queries."""
    known = Consent.objects.filter(visit__patient=patient).select_related(
        "explained_by", "visit", "withdrawn__recorded_by"
    )
    confirmed = Prefetch("confirmations", ConsentConfirmed.objects.select_related("confirmed_by"))
    rows = known.prefetch_related(confirmed).order_by("signed_at", "pk")
    return tuple(
        Standing(row, getattr(row, "withdrawn", None), tuple(row.confirmations.all())) for row in rows
    )


def covers(visit: Visit, *, procedure: str, area: str, at: datetime | None = None) -> Coverage:
    """Whether the person agreed before `at` (now) to this procedure for this area, and said so in this visit.

    Only the server's time counts. `procedure`: "examination", "manual", "needling"; `area`: a key such as
    "neck", "shoulder right". Raises ValueError for others. Two queries.
    """
    asked = Asked(visit.pk, procedure, area, at or timezone.now(), visit.patient.practice.zone)
    return judge(standing(visit.patient), asked)


def texts_in_use(practice: Practice) -> dict[str, ConsentText]:
    """The texts that are signed in this practice, by id: of the release, or as the practice words them."""
    last = last_versions(practice)
    return {
        text.id: worded(last[text.id]) if text.id in last else text
        for text in texts.load().values()
        if text.id not in last or last[text.id].in_use
    }


def last_versions(practice: Practice) -> dict[str, ConsentTextVersion]:
    """The version that counts of every text the practice has worded itself, by id. One query."""
    rows = ConsentTextVersion.objects.filter(practice=practice).select_related("written_by")
    return {row.text_id: row for row in rows.order_by("text_id", "number")}


def worded(row: ConsentTextVersion) -> ConsentText:
    """A text as the practice words it."""
    return ConsentText(
        id=row.text_id,
        version=row.number,
        title=row.title,
        for_what=row.for_what,
        parts=tuple(texts.Part(each["heading"], each["words"], tuple(each["sources"])) for each in row.parts),
        treats=row.treats,
        procedure=row.procedure,
        sensitive=row.sensitive,
    )


def text_for(practice: Practice, text_id: str) -> ConsentText:
    """The text in use. Raises Http404 for an unknown id, or one taken out of use."""
    try:
        return texts_in_use(practice)[text_id]
    except KeyError as problem:
        raise Http404("no such consent text") from problem


def changed_since(consent: Consent, text: ConsentText) -> bool:
    """Whether the text in use reads otherwise than what was signed."""
    return (consent.title, words_alone(consent.body)) != (text.title, text.body)


def consent_of(patient: Patient, consent_id: int) -> Standing:
    """One consent of this person. Raises Http404 for any other."""
    for each in standing(patient):
        if each.consent.pk == consent_id:
            return each
    raise Http404("no such consent")


def signed_just_so(
    visit: Visit, text: ConsentText, *, signer_name: str, signature: Strokes, areas: Sequence[str] = ()
) -> Consent | None:
    """The consent that a second tap would sign again: same text, same name, same ink, same areas."""
    rows = Consent.objects.filter(
        visit=visit, text_id=text.id, text_version=text.version, signer_name=signer_name
    )
    said = (signature, list(areas))
    return next((row for row in rows if (row.signature, row.areas) == said), None)
