"""Every read of who pays. A patient or episode given here came through the patients' door."""

import uuid
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date

from django.shortcuts import get_object_or_404

from charting.episodes.models import Episode
from charting.insurance.models import Authorisation, Certification, Claim, Payer, Policy, WorkStatus
from charting.patients.models import Patient
from charting.staff.models import User
from charting.staff.queries import clinicians_beside
from charting.staff.rights import may
from charting.visits.models import Visit


@dataclass(frozen=True)
class Counted:
    """An authorisation, and how many visits of the episode were held on its days (both ends belong to it).
    Every visit that was begun counts once, signed or not; an end that is not recorded is open.
    """

    authorisation: Authorisation
    used: int

    @property
    def left(self) -> int | None:
        """Visits still authorised, less than 0 beyond; None where no number was agreed."""
        visits = self.authorisation.visits
        return None if visits is None else visits - self.used

    def holds(self, day: date) -> bool:
        return _holds(self.authorisation, day)


@dataclass(frozen=True)
class Cover:
    """All that is on record for the insurer of one episode. Lines in the order of their days; `works` and
    `certifications` with the latest last; withdrawn authorisations are left out.
    """

    claim: Claim
    policy: Policy | None
    authorisations: tuple[Counted, ...]
    works: tuple[WorkStatus, ...]
    certifications: tuple[Certification, ...]

    @property
    def payer(self) -> Payer | None:
        return self.policy.payer if self.policy else None

    def work_on(self, day: date) -> WorkStatus | None:
        """The line that counts on a day: the last that began by then."""
        begun = [one for one in self.works if one.from_on <= day]
        return begun[-1] if begun else None

    def certified_on(self, day: date) -> Certification | None:
        """The certification whose period holds the day, the one recorded last."""
        held = [one for one in self.certifications if one.valid_from <= day <= one.valid_until]
        return held[-1] if held else None

    def authorised_on(self, day: date) -> tuple[Counted, ...]:
        return tuple(one for one in self.authorisations if one.holds(day))


def cover_of(episode: Episode, *, until: Visit | None = None) -> Cover | None:
    """What is on record for the insurer; None while nothing is. `until`: visits are counted up to this one.
    Five queries.
    """
    claim = Claim.objects.select_related("policy__payer").filter(episode=episode).first()
    if claim is None:
        return None
    days = _days(episode, until)
    standing = claim.authorisations.filter(withdrawn_at=None)
    return Cover(
        claim=claim,
        policy=claim.policy,
        authorisations=tuple(Counted(one, _used(one, days)) for one in standing),
        works=tuple(claim.work_statuses.select_related("recorded_by")),
        certifications=tuple(claim.certifications.select_related("recorded_by")),
    )


def payers_of(user: User) -> tuple[Payer, ...]:
    """The payers of the practice, those in use first."""
    if user.practice_id is None or not may(user, "keep insurance"):
        return ()
    return tuple(Payer.objects.filter(practice=user.practice_id).order_by("-in_use", "name"))


def payers_offered(user: User) -> tuple[Payer, ...]:
    """Those in use, for a new policy."""
    return tuple(one for one in payers_of(user) if one.in_use)


def numbered_beside(user: User) -> tuple[User, ...]:
    """Everybody in the practice whose registration number prints: who signs notes."""
    return tuple(one for one in clinicians_beside(user) if may(one, "sign"))


def policies_of(patient: Patient) -> tuple[Policy, ...]:
    """What a person is insured under, the newest first."""
    return tuple(Policy.objects.select_related("payer").filter(patient=patient))


def policy_of(patient: Patient, policy_id: uuid.UUID) -> Policy:
    """One policy of this person. Raises Http404."""
    known = Policy.objects.select_related("payer", "patient")
    return get_object_or_404(known, pk=policy_id, patient=patient)


def authorisation_of(episode: Episode, row_id: uuid.UUID) -> Authorisation:
    """One authorisation of this episode, withdrawn ones too. Raises Http404."""
    known = Authorisation.objects.select_related("claim__episode__patient__practice")
    return get_object_or_404(known, pk=row_id, claim__episode=episode)


def withdrawn_of(claim: Claim) -> tuple[Authorisation, ...]:
    """Authorisations that do not count any more."""
    return tuple(claim.authorisations.exclude(withdrawn_at=None))


def _days(episode: Episode, until: Visit | None) -> tuple[date, ...]:
    """The days of the visits that were begun, by the clock of the practice."""
    visits = Visit.objects.filter(episode=episode)
    if until:
        visits = visits.filter(started_at__lte=until.started_at)
    zone = episode.patient.practice.zone
    return tuple(at.astimezone(zone).date() for at in visits.values_list("started_at", flat=True))


def _used(one: Authorisation, days: Iterable[date]) -> int:
    return sum(_holds(one, day) for day in days)


def _holds(one: Authorisation, day: date) -> bool:
    begun = one.valid_from is None or one.valid_from <= day
    return begun and (one.valid_until is None or day <= one.valid_until)
