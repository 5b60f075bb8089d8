"""Ids that stay the same from export to export, and differ between two practices.

Where a row has a random id of its own, that is its id in FHIR too. What hangs on such a row is named beneath
it. Practice and staff have plain numbers: their ids are made with the secret key of the installation, so that
number 1 of two installations are two.
"""

import uuid

from django.utils.crypto import salted_hmac

from charting.staff.models import Practice, User


def beneath(parent: uuid.UUID, name: object) -> uuid.UUID:
    """The id of something that belongs to a row: beneath(visit.pk, "consent:3")."""
    return uuid.uuid5(parent, str(name))


def of_practice(practice: Practice) -> uuid.UUID:
    return _made("practice", practice.pk)


def of_user(user: User) -> uuid.UUID:
    return _made("user", user.pk)


def _made(kind: str, number: int) -> uuid.UUID:
    digest = salted_hmac(f"charting.exchange.fhir.{kind}", str(number), algorithm="sha256").digest()
    return uuid.UUID(bytes=digest[:16], version=5)
