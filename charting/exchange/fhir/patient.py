"""Patient: the person."""

from collections.abc import Iterable

from charting.exchange.fhir import codes, ids
from charting.exchange.fhir.parts import Resource, address_of, known, made, reference, resource
from charting.patients.models import Patient


def resource_of(patient: Patient, merged: Iterable[Patient] = ()) -> Resource:
    """`merged`: other records that were found to be the same person; their numbers stay known."""
    gone = tuple(merged)
    return resource(
        "Patient",
        patient.pk,
        identifier=[*_numbers(patient), *(_old_number(one) for one in gone)],
        active=patient.merged_into_id is None,
        name=[_name(patient)],
        telecom=_telecom(patient.phone, patient.email),
        gender=patient.sex,
        birthDate=patient.birth_date.isoformat(),
        address=[made(text=patient.address)] if patient.address.strip() else [],
        contact=_contact(patient),
        managingOrganization=reference(
            "Organization", ids.of_practice(patient.practice), patient.practice.name
        ),
        link=[_link(one) for one in gone],
    )


def record_number_system(patient: Patient) -> str:
    """Record numbers count within one practice: each has a system of its own."""
    return f"{codes.system('record_number')}:{ids.of_practice(patient.practice)}"


def _numbers(patient: Patient) -> list[dict]:
    number = {"system": record_number_system(patient), "value": str(patient.record_number)}
    elsewhere = [made(system=one.system, value=one.value) for one in patient.identifiers.all()]
    return [
        {"use": "official", "type": known("record_number"), **number},
        {"use": "usual", "system": codes.system("uri"), "value": address_of(patient.pk)},
        *elsewhere,
    ]


def _old_number(gone: Patient) -> dict:
    return {
        "use": "old",
        "type": known("record_number"),
        "system": record_number_system(gone),
        "value": str(gone.record_number),
    }


def _link(gone: Patient) -> dict:
    """By its number alone: the other record is not in the bundle."""
    number = {"system": record_number_system(gone), "value": str(gone.record_number)}
    return {"other": {"type": "Patient", "identifier": number}, "type": "replaces"}


def _name(patient: Patient) -> dict:
    return made(
        use="official", text=patient.name, family=patient.family_name, given=patient.given_names.split()
    )


def _telecom(phone: str, email: str) -> list[dict]:
    said = (("phone", phone), ("email", email))
    return [{"system": system, "value": value.strip()} for system, value in said if value.strip()]


def _contact(patient: Patient) -> list[dict]:
    found = made(
        relationship=[made(text=patient.emergency_relation)] if patient.emergency_relation.strip() else [],
        name=made(text=patient.emergency_name),
        telecom=_telecom(patient.emergency_phone, ""),
    )
    return [found] if found else []
