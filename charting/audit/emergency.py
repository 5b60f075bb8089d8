"""What is done with a chart that stands open in an emergency only says so in its row of the trail."""

from typing import Any

from django.db.models import Model

# From a row to the person it is of; Model attributes, nearest first.
STEPS = ("visit", "episode", "claim", "signed", "note")


def marks(emergencies: dict[Any, str], row: Model) -> dict[str, str]:
    """{"emergency": id of the opening} for a row of such a person; `emergencies`: {person: opening}."""
    found = emergencies.get(_person_of(row), "") if emergencies else ""
    return {"emergency": found} if found else {}


def _person_of(row: Model, far: int = 4) -> Any:
    """The id of the person; None for a row of nobody's."""
    if row._meta.model_name == "patient":
        return row.pk
    if hasattr(row, "patient_id"):
        return row.patient_id
    nearer = next((one for name in STEPS if isinstance(one := getattr(row, name, None), Model)), None)
    return _person_of(nearer, far - 1) if nearer and far else None
