"""How each entry of missing.toml is looked for: what its words name when it is missing, None otherwise."""

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from datetime import date

from charting.episodes.models import Episode
from charting.insurance.models import Claim
from charting.insurance.queries import Cover
from charting.insurance.timed import Time
from charting.treatment import techniques
from charting.treatment.models import TreatmentEntry
from charting.visits.models import Visit


@dataclass(frozen=True)
class Looked:
    """What is looked at. `day` by the clock of the practice; without a visit the last one stands for the
    clinician, and there is no time to look at.
    """

    episode: Episode
    cover: Cover
    visit: Visit | None
    day: date
    time: Time | None

    @property
    def claim(self) -> Claim:
        return self.cover.claim

    @property
    def day_words(self) -> str:
        return words_of(self.day)


Found = str | None
Check = Callable[[Looked], Found]


def words_of(day: date) -> str:
    """ "4 May 2026" """
    return f"{day.day} {day:%B %Y}"


def _when(is_missing: bool, words: str = "") -> Found:
    return words if is_missing else None


def _policy_over(at: Looked) -> Found:
    policy = at.cover.policy
    if policy is None:
        return None
    early = policy.began_on is not None and at.day < policy.began_on
    late = policy.ended_on is not None and at.day > policy.ended_on
    return _when(early or late, at.day_words)


def _referral(at: Looked) -> Found:
    return _when(not at.claim.referred_by.strip())


def _referral_day(at: Looked) -> Found:
    return _when(bool(at.claim.referred_by.strip()) and at.claim.referred_on is None)


def _work(at: Looked) -> Found:
    return _when(at.cover.work_on(at.day) is None and at.claim.cause != Claim.Cause.WORK, at.day_words)


def _work_after_accident(at: Looked) -> Found:
    return _when(at.cover.work_on(at.day) is None and at.claim.cause == Claim.Cause.WORK, at.day_words)


def _plan(at: Looked) -> Found:
    return _when(at.claim.plan_from is None or at.claim.plan_until is None)


def _plan_over(at: Looked) -> Found:
    begins, ends = at.claim.plan_from, at.claim.plan_until
    return _when(bool(begins and ends and not begins <= at.day <= ends), at.day_words)


def _spent(at: Looked) -> Found:
    over = [one for one in at.cover.authorised_on(at.day) if one.left is not None and one.left < 0]
    said = [f"{one.authorisation.number}, {one.used} of {one.authorisation.visits}" for one in over]
    return _when(bool(over), "; ".join(said))


def _registration(at: Looked) -> Found:
    return _when(bool(at.visit and not at.visit.clinician.registration), str(at.visit and at.visit.clinician))


def _minutes(at: Looked) -> Found:
    return _listed(at.time.without_minutes if at.time else ())


def _clock(at: Looked) -> Found:
    return _listed(at.time.without_clock if at.time else ())


def _overlap(at: Looked) -> Found:
    pairs = at.time.overlaps if at.time else ()
    named = [f"{_name(one)} and {_name(other)} (entries {_numbers(one, other)})" for one, other in pairs]
    return _when(bool(pairs), "; ".join(named))


def _listed(rows: Iterable[TreatmentEntry]) -> Found:
    named = [f"{_name(row)} (entry {row.position})" for row in rows]
    return _when(bool(named), ", ".join(named))


def _numbers(one: TreatmentEntry, other: TreatmentEntry) -> str:
    return f"{one.position} and {other.position}"


def _name(row: TreatmentEntry) -> str:
    return techniques.label_of(row.technique).lower()


CHECKS: dict[str, Check] = {
    "payer": lambda at: _when(at.cover.policy is None),
    "policy_over": _policy_over,
    "claim_number": lambda at: _when(not at.claim.claim_number),
    "cause": lambda at: _when(not at.claim.cause),
    "injured_on": lambda at: _when(at.claim.injured_on is None),
    "referral": _referral,
    "referral_day": _referral_day,
    "work": _work,
    "work_after_accident": _work_after_accident,
    "prior_function": lambda at: _when(not at.claim.prior_function.strip()),
    "plan": _plan,
    "plan_over": _plan_over,
    "certification": lambda at: _when(at.cover.certified_on(at.day) is None, at.day_words),
    "authorisation": lambda at: _when(not at.cover.authorised_on(at.day), at.day_words),
    "authorisation_spent": _spent,
    "registration": _registration,
    "practice_registration": lambda at: _when(not at.episode.patient.practice.registration),
    "minutes": _minutes,
    "clock": _clock,
    "overlap": _overlap,
}
