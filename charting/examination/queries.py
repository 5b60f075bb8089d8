"""Every read of what the examining hand found. A visit given here came through the patients' door."""

from django.db.models import Exists, OuterRef, Q
from django.shortcuts import get_object_or_404

from bodymaps.reasoning import ranges
from bodymaps.reasoning.case import Value
from bodymaps.reasoning.felt import Felt, Pressure
from charting.examination.models import MuscleFinding, RangeReading
from charting.screening import queries as screening
from charting.screening.models import NeuroFinding
from charting.screening.sections import JOINT, Cell, every_cell
from charting.visits.models import Visit


def muscles_of(visit: Visit) -> tuple[MuscleFinding, ...]:
    """The list of the visit in the order of examining, with what was found. One query."""
    return tuple(MuscleFinding.objects.filter(visit=visit))


def felt_of(visit: Visit) -> tuple[Felt, ...]:
    """What was felt, for Case.felt: every muscle of the list of which anything is on record. One query."""
    return tuple(found for row in muscles_of(visit) if (found := as_felt(row)).is_examined)


def as_felt(row: MuscleFinding) -> Felt:
    said = row.pressure
    pressure = Pressure(said["unit"], tuple(said["trials"]), said.get("tip_cm2")) if said else None
    return Felt(row.muscle, row.side, row.site, dict(row.signs), row.pain, pressure)


def ranges_of(visit: Visit) -> tuple[RangeReading, ...]:
    """Every reading of the visit. One query."""
    return tuple(RangeReading.objects.filter(visit=visit).order_by("pk"))


def findings_of(visit: Visit) -> dict[Cell, Value]:
    """Vitals, neuro screen, joint tests and ranges, for Case.findings. What the neuro screen asks too and was
    measured here counts for both; where both have it, the neuro screen's counts. Two queries.
    """
    return ranges.with_same({**range_values(ranges_of(visit)), **screening.findings_of(visit)})


def range_values(rows: tuple[RangeReading, ...]) -> dict[Cell, Value]:
    """Readings by the keys under which rules ask for them."""
    values: dict[Cell, Value] = {}
    for row in rows:
        for how, number in ((ranges.ACTIVE, row.active), (ranges.PASSIVE, row.passive)):
            if number is not None:
                values[f"{how}:{row.movement}", row.side] = number
        if row.hurts:
            values[f"{ranges.PAIN_ON}:{row.movement}", row.side] = row.hurts
    return values


def has_muscles() -> Exists:
    """To annotate visits with: whether anything was felt in a muscle."""
    nothing = Q(signs={}, pain=None, pressure={})
    return Exists(MuscleFinding.objects.filter(visit=OuterRef("pk")).exclude(nothing))


def has_joints() -> Q:
    """To annotate visits with: whether a range or a joint test is on record."""
    tests = {key for key, _ in every_cell(JOINT)}
    tested = NeuroFinding.objects.filter(visit=OuterRef("pk"), item__in=tests)
    return Q(Exists(RangeReading.objects.filter(visit=OuterRef("pk")))) | Q(Exists(tested))


def line_of(visit: Visit, line_id: int) -> MuscleFinding:
    """One muscle of the list of this visit. Raises Http404 for any other."""
    return get_object_or_404(MuscleFinding, visit=visit, pk=line_id)


def last_muscles(visit: Visit) -> tuple[MuscleFinding, ...]:
    """The list of the last visit of the same person before this one at which a muscle was examined, with
    what was found; () when there was none. Two queries. A visit given here came through the patients' door,
    and so did the person's others.
    """
    earlier = Visit.objects.filter(patient=visit.patient_id, started_at__lt=visit.started_at)
    last = earlier.filter(has_muscles()).order_by("-started_at").first()
    return tuple(MuscleFinding.objects.filter(visit=last).select_related("visit")) if last else ()
