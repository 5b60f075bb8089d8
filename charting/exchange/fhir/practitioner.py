"""Practitioner: a member of staff, as on record now; what was signed carries the name as it was then."""

from charting.exchange.fhir import codes, ids
from charting.exchange.fhir.parts import Resource, made, reference, resource
from charting.staff.models import User


def resource_of(user: User) -> Resource:
    return resource(
        "Practitioner",
        ids.of_user(user),
        identifier=_registration(user),
        name=[made(text=str(user), family=user.last_name, given=user.first_name.split())],
        qualification=[{"code": {"text": user.title}}] if user.title.strip() else [],
    )


def named(user: User, display: str = "") -> dict:
    return reference("Practitioner", ids.of_user(user), display or str(user))


def _registration(user: User) -> list[dict]:
    if not user.registration.strip():
        return []
    return [{"system": codes.system("registration"), "value": user.registration.strip()}]
