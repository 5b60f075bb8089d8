"""The codes of a visit."""

from charting.coding.models import DiagnosisCode
from charting.visits.models import Visit
from tests.charting.addresses import Address, reads, writes


def a_code(visit: Visit) -> str:
    said = {"title": "Fibromyalgia", "release": "April 2026", "position": 0, "chosen_by": visit.clinician}
    return DiagnosisCode.objects.get_or_create(visit=visit, code="M79.7", defaults=said)[0].code


ADDRESSES: tuple[Address, ...] = (
    reads("codes"),
    writes("codes-choose", lambda visit: {"code": "G47.00"}),
    writes("codes-move", lambda visit: {"code": a_code(visit), "to": "first"}),
    writes("codes-remove", lambda visit: {"code": a_code(visit)}),
    writes("codes-carry"),
)
