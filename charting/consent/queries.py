"""Every read of consents. A visit given here came through the patients' door."""

from django.http import Http404

from charting.consent import texts
from charting.consent.models import Consent
from charting.consent.signature import Strokes
from charting.consent.texts import ConsentText
from charting.visits.models import Visit


def consents_of(visit: Visit) -> tuple[Consent, ...]:
    """What was signed in this visit, in order."""
    return tuple(Consent.objects.filter(visit=visit).select_related("explained_by"))


def text_for(text_id: str) -> ConsentText:
    """The text in use. Raises Http404 for an unknown id."""
    try:
        return texts.load()[text_id]
    except KeyError as problem:
        raise Http404("no such consent text") from problem


def signed_just_so(
    visit: Visit, text: ConsentText, *, signer_name: str, signature: Strokes
) -> Consent | None:
    """The consent that a second tap would sign again: same text, same name, same ink."""
    rows = Consent.objects.filter(
        visit=visit, text_id=text.id, text_version=text.version, signer_name=signer_name
    )
    return next((row for row in rows if row.signature == signature), None)
