"""Coverage: what the person is insured under."""

from collections.abc import Iterable

from charting.exchange.fhir import codes, organization
from charting.exchange.fhir.parts import Resource, concept, day, made, period, reference, resource
from charting.insurance.models import Policy
from charting.patients.models import Patient


def policies_of(people: Iterable[Patient]) -> tuple[Policy, ...]:
    rows = Policy.objects.filter(patient__in=[one.pk for one in people])
    return tuple(rows.select_related("payer__practice").order_by("number"))


def resource_of(policy: Policy, patient: Patient, *, today: str) -> Resource:
    """`today` (ISO) decides whether it is still in force; an end that is not recorded is none."""
    ended = day(policy.ended_on)
    return resource(
        "Coverage",
        policy.pk,
        status="cancelled" if ended and ended < today else "active",
        policyHolder={"display": policy.holder} if policy.holder.strip() else None,
        subscriberId=policy.number,
        beneficiary=reference("Patient", patient.pk),
        relationship=concept(policy.holder_relation) if policy.holder_relation.strip() else None,
        period=period(day(policy.began_on), ended),
        payor=[reference("Organization", organization.id_of_payer(policy.payer), policy.payer.name)],
        **{"class": _group(policy)},
    )


def _group(policy: Policy) -> list[dict]:
    if not policy.group_number.strip():
        return []
    return [made(type=concept("", codes.coding("group")), value=policy.group_number)]
