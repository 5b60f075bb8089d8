"""The whole: a bundle of a person (collection), and of a visit (document)."""

import uuid
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from charting.episodes.models import Episode
from charting.exchange.fhir import (
    adverse,
    body,
    codes,
    composition,
    condition,
    consent,
    coverage,
    danger,
    document_reference,
    encounter,
    episode,
    findings,
    flag,
    ids,
    impression,
    organization,
    pain,
    patient,
    person_facts,
    practitioner,
    procedure,
    provenance,
    scores,
)
from charting.exchange.fhir.parts import Resource, address_of, moment
from charting.exchange.fhir.reading import KeptVisit, kept, persons, visits_of
from charting.insurance.models import Policy
from charting.patients.models import Patient
from charting.report.content import fingerprint
from charting.staff.models import User
from charting.visits.models import Visit

Bundle = dict[str, Any]


@dataclass(frozen=True)
class _Visit:
    """What one visit becomes. `notes`: the versions of the note, the newest first."""

    one: KeptVisit
    clinical: list[Resource]
    notes: list[Resource]
    beside: list[Resource]


def of_patient(person: Patient, *, at: datetime) -> Bundle:
    """Everything of a person that FHIR has a place for. `at`: when it is made. Costs one reading of each
    open visit; a signed one is read from what was frozen.
    """
    people = persons(person)
    insured = _insured(coverage.policies_of(people), person, at)
    visits = [_read(visit, insured) for visit in visits_of(people)]
    reactions, letters = adverse.rows_of(person), document_reference.letters_of(people)
    staff = [user for each in visits for user in each.one.staff]
    staff += [row.recorded_by for row in reactions] + [letter.signed.signed_by for letter in letters]
    resources = [
        patient.resource_of(person, people[1:]),
        organization.resource_of(person.practice),
        *_practitioners(staff),
        *insured,
        *(episode.resource_of(row) for row in _episodes(people)),
        *(each for visit in visits for each in (*visit.clinical, *visit.notes, *visit.beside)),
        *(adverse.resource_of(row, person) for row in reactions),
        *(document_reference.of_letter(letter, person) for letter in letters),
        *(provenance.of_letter(letter) for letter in letters),
    ]
    return _bundle("collection", resources, at, person, ids.beneath(person.pk, "bundle"))


def of_visit(visit: Visit, *, at: datetime) -> Bundle:
    """A document: the last version of the note comes first, then all it speaks of, then who signed."""
    person = visit.patient
    insured = _insured(_policies_for(visit), person, at)
    read = _read(visit, insured)
    resources = [
        *read.notes,
        patient.resource_of(person, persons(person)[1:]),
        organization.resource_of(person.practice),
        *_practitioners(read.one.staff),
        *insured,
        *([episode.resource_of(visit.episode)] if visit.episode else []),
        *read.clinical,
        *read.beside,
    ]
    name = f"document:{read.notes[0]['id']}:{fingerprint(read.one.content)}"
    return _bundle("document", resources, at, person, ids.beneath(visit.pk, name))


def _read(visit: Visit, insured: Sequence[Resource]) -> _Visit:
    one = kept(visit)
    clinical = _clinical(one)
    held: dict[str, list[Resource]] = {}
    for each in (*clinical, *insured):
        held.setdefault(each["resourceType"], []).append(each)
    notes = composition.resources_of(one, held)[::-1]
    return _Visit(
        one, clinical, notes, [*document_reference.resources_of(one), *provenance.resources_of(one)]
    )


def _clinical(one: KeptVisit) -> list[Resource]:
    """The visit and all that was recorded in it, without note, papers and signatures."""
    conditions = condition.resources_of(one)
    return [
        encounter.resource_of(one, conditions),
        *conditions,
        *body.resources_of(one),
        *pain.resources_of(one),
        *scores.resources_of(one),
        *person_facts.resources_of(one),
        *findings.resources_of(one),
        *danger.resources_of(one),
        *flag.resources_of(one),
        *impression.resources_of(one),
        *procedure.resources_of(one),
        *consent.resources_of(one),
    ]


def _practitioners(staff: Iterable[User]) -> list[Resource]:
    return [practitioner.resource_of(user) for user in {user.pk: user for user in staff}.values()]


def _insured(policies: Iterable[Policy], person: Patient, at: datetime) -> list[Resource]:
    """Policies, and whoever pays, each once."""
    held, today = tuple(policies), at.astimezone(person.practice.zone).date().isoformat()
    payers = {policy.payer_id: policy.payer for policy in held}
    return [
        *(organization.payer(payer) for payer in payers.values()),
        *(coverage.resource_of(policy, person, today=today) for policy in held),
    ]


def _policies_for(visit: Visit) -> tuple[Policy, ...]:
    claim = getattr(visit.episode, "claim", None) if visit.episode else None
    return (claim.policy,) if claim and claim.policy else ()


def _episodes(people: Iterable[Patient]) -> tuple[Episode, ...]:
    rows = Episode.objects.filter(patient__in=[one.pk for one in people])
    return tuple(rows.select_related("patient__practice").prefetch_related("events").order_by("opened_at"))


def _bundle(
    type_: str, resources: Iterable[Resource], at: datetime, person: Patient, id_: uuid.UUID
) -> Bundle:
    """Each resource once: a consent that was confirmed in a later visit belongs to both."""
    once: dict[str, Resource] = {}
    for each in resources:
        once.setdefault(each["id"], each)
    return {
        "resourceType": "Bundle",
        "id": str(id_),
        "identifier": {"system": codes.system("uri"), "value": address_of(id_)},
        "type": type_,
        "timestamp": moment(at, person.practice.time_zone),
        "entry": [{"fullUrl": address_of(id_), "resource": each} for id_, each in once.items()],
    }
