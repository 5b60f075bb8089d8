"""Run beside the database that is to be loaded: a practice, and boards that were handed over. Prints JSON.

`python -m tests.load.practice TABLETS CLINICIANS PASSWORD`
"""

import json
import os
import sys
import uuid


def main(tablets: int, clinicians: int, password: str) -> None:
    os.environ["DJANGO_SETTINGS_MODULE"] = "clinic.settings"
    import django

    django.setup()
    from django.core.management import call_command

    sizes = {
        "patients": 2 * tablets,
        "visits": 10 * tablets,
        "drawings": 5 * tablets,
        "clinicians": clinicians,
    }
    call_command("migrate", verbosity=0)
    call_command("collectstatic", verbosity=0, interactive=False)
    call_command("seed_scale", verbosity=0, password=password, **sizes)
    print(json.dumps({"tokens": _handed_over(tablets), "visits": _signed(100), "names": _names(50)}))


def _handed_over(tablets: int) -> list[str]:
    """The tokens of so many boards, each of a visit that begins now."""
    from charting.handover.services import confirm, hand_over
    from charting.patients.models import Patient
    from charting.staff.models import User
    from charting.visits.services import start

    who = User.objects.get(username="clinician1")
    tokens = []
    for patient in Patient.objects.order_by("record_number")[:tablets]:
        visit = start(who=who, patient=patient, clinician=who, id=uuid.uuid4(), about=_new_complaint())
        held, token = hand_over(who=who, visit=visit)
        confirm(held=held)
        tokens.append(token)
    return tokens


def _new_complaint() -> object:
    from charting.episodes.services import About

    return About(is_new=True, title="load")


def _signed(count: int) -> list[list[str]]:
    """[visit, patient] of drawn and signed visits."""
    from charting.drawing.models import DrawnCells
    from charting.visits.models import Visit

    rows = Visit.objects.filter(pk__in=DrawnCells.objects.values("visit"))[:count]
    return [[str(row.pk), str(row.patient_id)] for row in rows]


def _names(count: int) -> list[str]:
    from charting.patients.models import Patient

    return [row.family_name for row in Patient.objects.order_by("record_number")[:count]]


if __name__ == "__main__":
    main(int(sys.argv[1]), int(sys.argv[2]), sys.argv[3])
