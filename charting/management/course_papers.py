"""What an invented course says about who pays: written through the services of the desk and the clinician."""

import uuid
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from typing import Any

from charting.episodes.models import Episode
from charting.insurance import payer_services, services
from charting.insurance.models import Claim, Payer, WorkStatus
from charting.management import demo
from charting.management.clock import Clock
from charting.management.course_checks import CourseError
from charting.staff.models import User

NEEDED = ("payer", "policy", "cause", "injured", "prior_function", "plan")
KNOWN = (
    *NEEDED, "claim", "cause_words", "referred_by", "referrer_address", "referred", "frequency",
    "authorised", "work", "certified",
)  # fmt: skip


def check(said: Mapping[str, Any], entry: str) -> None:
    """Raises CourseError with what to mend."""
    if missing := [name for name in NEEDED if name not in said]:
        raise CourseError(f"{entry}: insured: {missing[0]} is missing")
    if strange := sorted(set(said) - set(KNOWN)):
        raise CourseError(f"{entry}: insured: {strange[0]} is not known here")
    if said["payer"] not in payers():
        raise CourseError(f"{entry}: insured: payer: {said['payer']!r} is none of demo.toml")
    if said["cause"] not in Claim.Cause.values:
        raise CourseError(f"{entry}: insured: cause: one of {', '.join(Claim.Cause.values)}")
    for line in said.get("work", ()):
        if line.get("status") not in WorkStatus.Status.values or "days_ago" not in line:
            raise CourseError(f"{entry}: insured: work: a status and the days ago it began")


def payers() -> Mapping[str, Mapping[str, Any]]:
    """The payers of the demo practice, by name."""
    return {each["name"]: each for each in demo.load().get("payer", ())}


@dataclass(frozen=True)
class InsurerWriter:
    """Everything an insurer asks, on record before the first visit of the course is signed."""

    said: Mapping[str, Any]
    episode: Episode
    who: User
    clock: Clock
    # Of the visit at which it is written.
    days_ago: int

    def write(self) -> None:
        """Writing it again changes nothing."""
        said, episode = self.said, self.episode
        policy = services.add_policy(
            who=self.who,
            patient=episode.patient,
            id=self._id("policy"),
            payer=self._payer(),
            number=said["policy"],
            group_number="",
            holder="",
            holder_relation="",
            began_on=None,
            ended_on=None,
        )
        claim = Claim.objects.filter(episode=episode).first()
        services.save_claim(
            who=self.who,
            episode=episode,
            version=claim.version if claim else 0,
            policy=policy,
            claim_number=said.get("claim", ""),
            cause=said["cause"],
            cause_words=said.get("cause_words", ""),
            injured_on=self._day(said["injured"]),
            prior_function=said["prior_function"],
            plan_from=self._day(said["plan"][0]),
            plan_until=self._day(said["plan"][1]),
            plan_frequency=said.get("frequency", ""),
            **self._referral(),
        )
        self._lines()

    def _referral(self) -> dict[str, Any]:
        if "referred_by" not in self.said:
            return {}
        return {
            "referred_by": self.said["referred_by"],
            "referrer_address": self.said.get("referrer_address", ""),
            "referred_on": self._day(self.said["referred"]),
        }

    def _lines(self) -> None:
        at: dict[str, Any] = {"who": self.who, "episode": self.episode}
        for number, (name, visits, first, last) in enumerate(self.said.get("authorised", ())):
            days: dict[str, Any] = {"valid_from": self._day(first), "valid_until": self._day(last)}
            row = self._id(f"authorisation {number}")
            services.add_authorisation(**at, id=row, number=name, visits=visits, remark="", **days)
        for line in self._work_to_say():
            told: dict[str, Any] = {"percent": line.get("percent"), "limits": line.get("limits", "")}
            services.add_work_status(**at, status=line["status"], from_on=self._day(line["days_ago"]), **told)
        for name, when, first, last in self.said.get("certified", ()):
            days = {"valid_from": self._day(first), "valid_until": self._day(last)}
            on = self._day(when)
            services.add_certification(**at, certified_by=name, certified_on=on, how="by letter", **days)

    def _work_to_say(self) -> list[Mapping[str, Any]]:
        """What has begun by now and is not on record."""
        known = set(WorkStatus.objects.filter(claim__episode=self.episode).values_list("from_on", flat=True))
        begun = (line for line in self.said.get("work", ()) if line["days_ago"] >= self.days_ago)
        return [line for line in begun if self._day(line["days_ago"]) not in known]

    def _payer(self) -> Payer:
        """As demo.toml has it; made with the first course that names it."""
        return payer_services.add_payer(who=self.who, **payers()[self.said["payer"]])

    def _day(self, days_ago: int) -> date:
        return self.clock.working(days_ago, "09:00").date()

    def _id(self, what: str) -> uuid.UUID:
        return uuid.uuid5(self.episode.pk, what)
