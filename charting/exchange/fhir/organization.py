"""Organization: the practice, and whoever pays."""

import uuid

from charting.exchange.fhir import codes, ids
from charting.exchange.fhir.parts import Resource, made, reference, resource
from charting.insurance.models import Payer
from charting.staff.models import Practice


def resource_of(practice: Practice) -> Resource:
    return resource(
        "Organization",
        ids.of_practice(practice),
        identifier=_numbers(codes.system("registration"), practice.registration),
        name=practice.name,
        telecom=_telecom(practice.phone, practice.email),
        address=_address(practice.street, practice.town),
    )


def named(practice: Practice) -> dict:
    return reference("Organization", ids.of_practice(practice), practice.name)


def id_of_payer(payer: Payer) -> uuid.UUID:
    return ids.beneath(ids.of_practice(payer.practice), f"payer:{payer.pk}")


def payer(row: Payer) -> Resource:
    return resource(
        "Organization",
        id_of_payer(row),
        identifier=_numbers(f"urn:x-tautline:payer:{ids.of_practice(row.practice)}", row.payer_number),
        name=row.name,
        telecom=_telecom(row.phone, ""),
        address=_address(row.street, row.town),
    )


def _numbers(system: str, value: str) -> list[dict]:
    return [{"system": system, "value": value.strip()}] if value.strip() else []


def _telecom(phone: str, email: str) -> list[dict]:
    said = (("phone", phone), ("email", email))
    return [{"system": system, "value": value.strip()} for system, value in said if value.strip()]


def _address(street: str, town: str) -> list[dict]:
    lines = [each.strip() for each in (street, town) if each.strip()]
    return [made(text="\n".join(lines), line=[street.strip()] if street.strip() else [])] if lines else []
