"""What the person agreed to, in brief: signed in this visit, confirmed in it, taken back. Plain data.

The words that were read stay with the consent and on the copy of it; here stands their SHA-256.
"""

import hashlib
from collections.abc import Sequence
from typing import Any

from charting.consent import signature, texts
from charting.consent.coverage import Standing
from charting.consent.models import Consent, ConsentConfirmed
from charting.consent.queries import standing
from charting.report.papers import clock, stopped
from charting.visits.models import Visit


def agreed(visit: Visit) -> dict[str, list[dict[str, Any]]]:
    """`signed` in this visit; `confirmed` in it by word of mouth and signed before; `taken_back` since it
    began, of those that are neither. Two queries, whatever the number of consents.
    """
    zone, known = visit.patient.practice.time_zone, standing(visit.patient)
    confirmed = [one for one in known if visit.pk in one.confirmed_in]
    return {
        "signed": [_signed(one, zone) for one in known if one.consent.visit_id == visit.pk],
        "confirmed": [_confirmed(one, visit, zone) for one in confirmed],
        "taken_back": [_brief(one, zone) for one in _taken_back(known, visit)],
    }


def _taken_back(known: Sequence[Standing], visit: Visit) -> list[Standing]:
    return [
        one
        for one in known
        if one.withdrawn_at is not None
        and one.withdrawn_at >= visit.started_at
        and one.consent.visit.started_at < visit.started_at
        and visit.pk not in one.confirmed_in
    ]


def _brief(one: Standing, zone: str) -> dict[str, Any]:
    """Of which text it is, for what, by whom and when; what became of it."""
    row = one.consent
    return {
        "title": row.title,
        "version": row.text_version,
        "procedures": [texts.procedures()[each].words for each in one.procedures],
        "areas": one.areas_words,
        "signer": row.get_signer_display(),
        "relation": row.guardian_relation,
        "signer_name": row.signer_name,
        "how": row.how_signed,
        "when": clock(row.signed_at, zone),
        "withdrawn": _withdrawn(one, zone),
        "sha256": hashlib.sha256(row.body.encode()).hexdigest(),
    }


def _signed(one: Standing, zone: str) -> dict[str, Any]:
    row = one.consent
    by = row.explained_by
    return {
        **_brief(one, zone),
        "explained_by": {"name": str(by), "title": by.title, "registration": by.registration},
        "interpreter": row.interpreter,
        "chaperone": _chaperone(row),
        "questions": stopped(row.questions),
        "device_time": row.device_words,
        "signature": signature.path(row.signature),
    }


def _confirmed(one: Standing, visit: Visit, zone: str) -> dict[str, Any]:
    row = next(each for each in one.confirmations if each.visit_id == visit.pk)
    return {
        **_brief(one, zone),
        "confirmed_when": clock(row.confirmed_at, zone),
        "confirmed_by": str(row.confirmed_by),
        "chaperone": _chaperone(row),
        "questions": stopped(row.questions),
    }


def _chaperone(row: Consent | ConsentConfirmed) -> str:
    """ "offered and accepted, Poll Weber"; "" where nobody had to be offered."""
    return ", ".join(said for said in (row.get_chaperone_display(), row.chaperone_name) if said)


def _withdrawn(one: Standing, zone: str) -> dict[str, str] | None:
    gone = one.withdrawn
    if gone is None:
        return None
    return {
        "when": clock(gone.withdrawn_at, zone),
        "said_by": gone.said_by,
        "words": gone.words.strip(),
        "by": str(gone.recorded_by),
    }
