"""What the insurer asks about a visit, as plain data for note and letters."""

from collections.abc import Iterable, Iterator
from datetime import date, time
from typing import Any

from charting.insurance import units
from charting.insurance.models import Certification, Claim, Policy, WorkStatus
from charting.insurance.queries import Counted, Cover, cover_of
from charting.insurance.timed import Time, time_of
from charting.report.papers import day
from charting.treatment import techniques
from charting.treatment.models import TreatmentEntry
from charting.treatment.queries import entries_of
from charting.visits.models import Visit

Rows = list[list[str]]


def insured(visit: Visit) -> dict[str, Any]:
    """`groups`: [{"title", "rows": [[label, words], ...]}] in the order of reading, without what is not
    recorded; `payer`, `policy_number`, `claim_number`: alone; `time`: minutes in and out of this visit, or
    None without timed procedures. {} while nobody is recorded who pays. Seven queries.
    """
    cover = cover_of(visit.episode, until=visit) if visit.episode else None
    if cover is None or cover.policy is None:
        return {}
    return {
        "payer": cover.policy.payer.name,
        "policy_number": cover.policy.number,
        "claim_number": cover.claim.claim_number,
        "groups": groups(cover, _held(visit)),
        "time": _time(time_of(entries_of(visit), cover.payer)),
    }


def groups(cover: Cover, on: date) -> list[dict[str, Any]]:
    """All that is recorded as rows of words, for the day `on`; groups without a row are left out."""
    claim = cover.claim
    every = (
        ("Payer and policy", [*_policy(cover.policy), ["Claim number", claim.claim_number]]),
        ("The injury", _injury(claim)),
        ("Referral", _referral(claim)),
        ("Work", _work(cover.work_on(on))),
        ("Plan of care", [*_plan(claim), *_certified(cover.certifications)]),
        ("Authorisations", [_authorised(one) for one in cover.authorisations]),
    )
    said = ((title, [row for row in rows if row[1]]) for title, rows in every)
    return [{"title": title, "rows": rows} for title, rows in said if rows]


def _held(visit: Visit) -> date:
    return visit.started_at.astimezone(visit.patient.practice.zone).date()


def _policy(policy: Policy | None) -> Rows:
    if policy is None:
        return []
    payer = policy.payer
    known_as = f"{payer.name} (payer number {payer.payer_number})" if payer.payer_number else payer.name
    relation = f" ({policy.holder_relation})" if policy.holder_relation else ""
    return [
        ["Payer", ", ".join(filter(None, (known_as, payer.street, payer.town)))],
        ["Policy number", policy.number],
        ["Group number", policy.group_number],
        ["Policy holder", f"{policy.holder}{relation}" if policy.holder else ""],
    ]


def _injury(claim: Claim) -> Rows:
    cause = claim.get_cause_display() if claim.cause else ""
    began = "First complaint" if claim.cause == Claim.Cause.ILLNESS else "Day of the injury"
    said = ". ".join(filter(None, (cause, claim.cause_words.strip())))
    return [["Cause", said], [began, _day(claim.injured_on)]]


def _referral(claim: Claim) -> Rows:
    number = f", number {claim.referrer_number}" if claim.referrer_number else ""
    return [
        ["Referred by", f"{claim.referred_by}{number}" if claim.referred_by else ""],
        ["Address", ", ".join(filter(None, map(str.strip, claim.referrer_address.splitlines())))],
        ["Referred on", _day(claim.referred_on)],
    ]


def _work(one: WorkStatus | None) -> Rows:
    if one is None:
        return []
    percent = f", {one.percent} %" if one.percent is not None else ""
    return [
        ["Work status", f"{one.get_status_display()}{percent}, from {_day(one.from_on)}"],
        ["Limits at work", one.limits],
    ]


def _plan(claim: Claim) -> Rows:
    return [
        ["Before it began", claim.prior_function.strip()],
        ["Plan of care", span(claim.plan_from, claim.plan_until)],
        ["How often", claim.plan_frequency],
    ]


def _certified(every: Iterable[Certification]) -> Iterator[list[str]]:
    for one in every:
        how = f", {one.how}" if one.how else ""
        held = span(one.valid_from, one.valid_until)
        yield ["Certified", f"{one.certified_by}, {_day(one.certified_on)}{how}; holds {held}"]


def _authorised(one: Counted) -> list[str]:
    said = one.authorisation
    held = span(said.valid_from, said.valid_until)
    counted = f"{one.used} visit{'' if one.used == 1 else 's'} used"
    if said.visits is not None:
        counted = f"{one.used} of {said.visits} visit{'' if said.visits == 1 else 's'} used"
    return [f"Number {said.number}", "; ".join(filter(None, (counted, held, said.remark)))]


def span(begins: date | None, ends: date | None) -> str:
    """ "from 4 May 2026 until 3 July 2026"; "" where neither day is known."""
    parts = (f"from {day(begins)}" if begins else "", f"until {day(ends)}" if ends else "")
    return " ".join(filter(None, parts))


def _time(found: Time) -> dict[str, Any] | None:
    if not found.timed:
        return None
    rule = units.load()
    return {
        "entries": [_entry(row) for row in found.timed],
        "minutes": found.minutes,
        "units": found.units,
        "rule": f"{rule.minutes_each} minutes each, the first from {rule.least} minutes on",
        "source": rule.source,
        "status": rule.status,
    }


def _entry(row: TreatmentEntry) -> dict[str, Any]:
    return {
        "number": row.position,
        "technique": techniques.label_of(row.technique),
        "began": _clock(row.began_at),
        "ended": _clock(row.ended_at),
        "minutes": row.minutes,
    }


def _clock(at: time | None) -> str:
    return f"{at:%H:%M}" if at else ""


def _day(value: date | None) -> str:
    return day(value) if value else ""
