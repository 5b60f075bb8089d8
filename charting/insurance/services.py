"""Every write of policies, claims and what belongs to a claim. One write for a person at a time."""

import uuid
from datetime import date
from typing import Any

from django.core.exceptions import PermissionDenied
from django.db import transaction
from django.utils import timezone

from charting.audit.services import record
from charting.drafts.services import forget
from charting.episodes.models import Episode
from charting.insurance.models import Authorisation, Certification, Claim, Payer, Policy, WorkStatus
from charting.patients.access import charts_of, patients_of
from charting.patients.models import Patient
from charting.staff.models import User
from charting.staff.rights import may, require
from charting.versioning import Stale, save_if_current

# What only somebody who treats may say: what the patient could do, and how long care is planned.
CLINICAL = ("prior_function", "plan_from", "plan_until", "plan_frequency")
USED = "Open this page once more: its number was used already."


class NotKept(Exception):
    """Why something was not written, in words for the page."""


def policy_draft(patient: Patient, policy: Policy | None = None) -> str:
    return f"policy:{policy.pk if policy else patient.pk}"


def claim_draft(episode: Episode) -> str:
    return f"claim:{episode.pk}"


def authorisation_draft(episode: Episode, row: Authorisation | None = None) -> str:
    return f"authorisation:{row.pk if row else episode.pk}"


def work_draft(episode: Episode) -> str:
    return f"work-status:{episode.pk}"


def certification_draft(episode: Episode) -> str:
    return f"certification:{episode.pk}"


@transaction.atomic
def add_policy(*, who: User, patient: Patient, id: uuid.UUID, payer: Payer, **said: Any) -> Policy:  # noqa: A002
    """`said`: number, group_number, holder, holder_relation, began_on, ended_on. The same `id` sent again
    gives the policy made before. Raises NotKept.
    """
    _lock(who, patient)
    before = Policy.objects.filter(pk=id).first()
    if before:
        return _same_person(before, patient)
    row = Policy(id=id, patient=patient, payer=payer, **said)
    _check_policy(who, row)
    row.save(force_insert=True)
    forget(who=who, key=policy_draft(patient))
    record(who=who, did="added policy", what=patient, policy=str(row.pk))
    return row


@transaction.atomic
def change_policy(*, who: User, policy: Policy, version: int, payer: Payer, **said: Any) -> Policy:
    """Raises Stale with the row as it stands, NotKept."""
    _lock(who, policy.patient)
    _check_policy(who, Policy(patient=policy.patient, payer=payer, **said))
    save_if_current(policy, version=version, payer=payer, **said)
    forget(who=who, key=policy_draft(policy.patient, policy))
    record(who=who, did="changed policy", what=policy.patient, policy=str(policy.pk))
    return policy


@transaction.atomic
def save_claim(*, who: User, episode: Episode, version: int, **said: Any) -> Claim:
    """Keep what the insurer is told about an episode: fields of Claim by name; those left out stay.
    `version` is 0 where nothing was on record. Sending the same again changes nothing.

    Raises Stale with the row as it stands, NotKept; PermissionDenied for CLINICAL by who does not treat.
    """
    _lock_chart(who, episode)
    row = Claim.objects.filter(episode=episode).first() or Claim(episode=episode, version=0)
    changed = sorted(name for name, value in said.items() if getattr(row, name) != value)
    if changed:
        _check_claim(who, episode, {**_as_dict(row), **said}, changed)
        _write(row, version, said)
        detail = {"patient": str(episode.patient_id), "changed": changed}
        record(who=who, did="changed claim", what=episode, **detail)
    forget(who=who, key=claim_draft(episode))
    return row


@transaction.atomic
def add_authorisation(*, who: User, episode: Episode, id: uuid.UUID, **said: Any) -> Authorisation:  # noqa: A002
    """`said`: number, visits, valid_from, valid_until, remark. The same `id` sent again gives the one made
    before. Raises NotKept.
    """
    _lock_chart(who, episode)
    before = Authorisation.objects.select_related("claim").filter(pk=id).first()
    if before and before.claim.episode_id == episode.pk:
        return before
    if before:
        raise NotKept(USED)
    _check_days(said["valid_from"], said["valid_until"])
    row = Authorisation.objects.create(id=id, claim=_claim(episode), **said)
    forget(who=who, key=authorisation_draft(episode))
    _record(who, "added authorisation", episode, authorisation=str(row.pk))
    return row


@transaction.atomic
def change_authorisation(
    *, who: User, authorisation: Authorisation, version: int, is_withdrawn: bool, **said: Any
) -> Authorisation:
    """`is_withdrawn`: it does not count any more. Raises Stale with the row as it stands, NotKept."""
    episode = authorisation.claim.episode
    _lock_chart(who, episode)
    _check_days(said["valid_from"], said["valid_until"])
    at = (authorisation.withdrawn_at or timezone.now()) if is_withdrawn else None
    save_if_current(authorisation, version=version, withdrawn_at=at, **said)
    forget(who=who, key=authorisation_draft(episode, authorisation))
    _record(who, "changed authorisation", episode, authorisation=str(authorisation.pk))
    return authorisation


@transaction.atomic
def add_work_status(
    *, who: User, episode: Episode, status: str, percent: int | None, limits: str, from_on: date
) -> WorkStatus:
    """A further line of work status; the last by its day counts. The same as the last line is that line."""
    require(who, "treat")
    _lock_chart(who, episode)
    _check_work(status, percent)
    said = {"status": status, "percent": percent, "limits": limits.strip(), "from_on": from_on}
    rows = WorkStatus.objects.filter(claim=_claim(episode))
    row = rows.last()
    if row is None or any(getattr(row, name) != value for name, value in said.items()):
        row = WorkStatus.objects.create(claim=_claim(episode), recorded_by=who, **said)
        _record(who, "recorded work status", episode, status=status)
    forget(who=who, key=work_draft(episode))
    return row


@transaction.atomic
def add_certification(
    *, who: User, episode: Episode, certified_by: str, certified_on: date, how: str, **period: date
) -> Certification:
    """`period`: valid_from, valid_until. The same as a line on record is that line. Raises NotKept."""
    _lock_chart(who, episode)
    _check_days(period["valid_from"], period["valid_until"])
    said: dict[str, Any] = {"certified_by": certified_by.strip(), "certified_on": certified_on, **period}
    row = Certification.objects.filter(claim=_claim(episode), **said, how=how.strip()).first()
    if row is None:
        row = Certification.objects.create(claim=_claim(episode), how=how.strip(), recorded_by=who, **said)
        _record(who, "recorded certification", episode)
    forget(who=who, key=certification_draft(episode))
    return row


def _lock(who: User, patient: Patient) -> None:
    require(who, "keep insurance")
    if not patients_of(who).select_for_update().filter(pk=patient.pk).first():
        raise PermissionDenied("This person is registered with another practice.")


def _lock_chart(who: User, episode: Episode) -> None:
    require(who, "keep insurance")
    if not charts_of(who).select_for_update().filter(pk=episode.patient_id).first():
        raise PermissionDenied("This person is registered with another practice.")


def _record(who: User, did: str, episode: Episode, **detail: str) -> None:
    record(who=who, did=did, what=episode, patient=str(episode.patient_id), **detail)


def _claim(episode: Episode) -> Claim:
    """With the person locked nobody makes another one meanwhile."""
    return Claim.objects.get_or_create(episode=episode)[0]


def _as_dict(row: Claim) -> dict[str, Any]:
    return {name: getattr(row, name) for name in ("policy", "plan_from", "plan_until", *CLINICAL)}


def _write(row: Claim, version: int, said: dict[str, Any]) -> None:
    if row.pk:
        save_if_current(row, version=version, **said)
        return
    if version:
        raise Stale(row)
    for name, value in said.items():
        setattr(row, name, value)
    row.version = 1
    row.save()


def _check_claim(who: User, episode: Episode, said: dict[str, Any], changed: list[str]) -> None:
    if set(changed) & set(CLINICAL) and not may(who, "treat"):
        raise PermissionDenied("Somebody who treats says what the patient could do and what is planned.")
    policy = said["policy"]
    if policy is not None and policy.patient_id != episode.patient_id:
        raise NotKept("Choose a policy of this person.")
    _check_days(said["plan_from"], said["plan_until"])


def _check_policy(who: User, row: Policy) -> None:
    if row.payer.practice_id != who.practice_id:
        raise PermissionDenied("This payer is one of another practice.")
    if not row.number.strip():
        raise NotKept("Enter the number of the policy.")
    _check_days(row.began_on, row.ended_on)


def _check_days(begins: date | None, ends: date | None) -> None:
    if begins and ends and ends < begins:
        raise NotKept("The last day must not be before the first.")


def _check_work(status: str, percent: int | None) -> None:
    if status not in WorkStatus.Status.values:
        raise NotKept("Choose the work status.")
    if percent is not None and (status != WorkStatus.Status.LIMITED or not 0 < percent < 100):
        raise NotKept("Per cent are from 1 to 99, and only of limited work.")


def _same_person(row: Policy, patient: Patient) -> Policy:
    if row.patient_id != patient.pk:
        raise NotKept(USED)
    return row
