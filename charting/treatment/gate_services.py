"""Every write about the gates of needling: going past a stop, late advice, needles that differ.

Rows are append-only: a later one stands beside the earlier.
"""

from django.core.exceptions import PermissionDenied
from django.db import transaction

from bodymaps.reasoning.needling import Gate
from charting.audit.services import record
from charting.drafts.services import forget
from charting.patterns.queries import atlas_for
from charting.staff.models import User
from charting.staff.rights import require
from charting.treatment import gates, incidents
from charting.treatment.models import GateOverride, LateAdvice, NeedleIncident, TreatmentEntry
from charting.treatment.where import Where
from charting.versioning import Stale
from charting.visits.models import Visit
from charting.visits.services import require_open


class NotOverridable(PermissionDenied):
    """Nobody goes past this one."""

    def __init__(self, gate: Gate) -> None:
        super().__init__(f"{gate.title}: nobody can go past this.")


def override_draft(visit: Visit, gate: Gate) -> str:
    return f"gate:{visit.pk}:{gate.id}:{gate.muscle}.{gate.side}"


def late_advice_draft(visit: Visit) -> str:
    return f"late-advice:{visit.pk}"


def incident_draft(visit: Visit) -> str:
    return f"needles:{visit.pk}"


@transaction.atomic
def override(*, who: User, visit: Visit, at: Where, gate: str, state: str, reason: str) -> GateOverride:
    """Go past one stop that holds for the muscle `at`, with the gate as it stands. `state`: that of the gate
    the page showed. The same again gives the decision made before. The right to treat is not enough.

    Raises PermissionDenied, NotOverridable, ValueError without a reason, VisitSigned; Stale when the gate is
    not what it was at `state`, or holds no more.
    """
    require(who, "override gates")
    require_open(visit)
    if not reason.strip():
        raise ValueError("going past a gate needs a reason")
    grounds = gates.grounds_of(visit)
    if made := _made_before(who, grounds.overrides, gate, at, state, reason):
        return made
    stop = next((one for one in gates.stops_in(grounds, at) if one.id == gate), None)
    if stop is None or gates.state_of(stop) != state:
        raise Stale(visit)
    if not stop.overridable:
        raise NotOverridable(stop)
    row = GateOverride.objects.create(
        visit=visit,
        muscle=stop.muscle,
        side=stop.side,
        gate=stop.id,
        shown=gates.shown_of(stop),
        reason=reason.strip(),
        decided_by=who,
    )
    forget(who=who, key=override_draft(visit, stop))
    place = Where(stop.muscle, stop.side).token if stop.muscle else ""
    record(who=who, did="went past a gate", what=row, visit=str(visit.pk), gate=stop.id, place=place)
    return row


@transaction.atomic
def give_late_advice(*, who: User, visit: Visit, words: str, call: str, understood: bool) -> LateAdvice:
    """Write down what the patient was told to watch for, and whom to call. The same again adds nothing.

    Raises ValueError for words that are missing, VisitSigned when signed.
    """
    require(who, "treat")
    require_open(visit)
    said = {"words": words.strip(), "call": call.strip(), "understood": understood}
    if not (said["words"] and said["call"]):
        raise ValueError("advice needs its words, and whom to call")
    last = LateAdvice.objects.filter(visit=visit).last()
    if last and last.given_by_id == who.pk and all(getattr(last, name) == said[name] for name in said):
        return last
    row = LateAdvice.objects.create(visit=visit, given_by=who, **said)
    forget(who=who, key=late_advice_draft(visit))
    record(who=who, did="gave late advice", what=row, visit=str(visit.pk), understood=understood)
    return row


@transaction.atomic
def record_incident(
    *, who: User, visit: Visit, state: str, words: str, done: str, told_patient: bool
) -> NeedleIncident:
    """Write down what became of needles whose counts differ, with every such entry as it stands. `state`:
    that of the counts the page showed. The same again adds nothing.

    Raises ValueError for words that are missing, Stale when the counts are not those of `state` or are equal,
    VisitSigned when signed.
    """
    require(who, "treat")
    require_open(visit)
    said = {"words": words.strip(), "done": done.strip(), "told_patient": told_patient}
    if not (said["words"] and said["done"]):
        raise ValueError("an incident needs what happened, and what was done")
    rows = TreatmentEntry.objects.select_for_update().filter(visit=visit)
    shown = incidents.shown_in(rows, atlas_for(visit.patient.practice))
    if not shown or incidents.state_of(shown) != state:
        raise Stale(visit)
    last = NeedleIncident.objects.filter(visit=visit).last()
    if last and last.shown == shown and all(getattr(last, name) == said[name] for name in said):
        return last
    row = NeedleIncident.objects.create(visit=visit, shown=shown, recorded_by=who, **said)
    forget(who=who, key=incident_draft(visit))
    record(who=who, did="recorded needle incident", what=row, visit=str(visit.pk), entries=len(shown))
    return row


def _made_before(
    who: User, rows: tuple[GateOverride, ...], gate: str, at: Where, state: str, reason: str
) -> GateOverride | None:
    """The decision that a second tap would make again: same gate as it was shown, same person, same words."""
    for row in reversed(rows):
        same = (row.gate, row.decided_by_id, row.reason) == (gate, who.pk, reason.strip())
        here = (row.muscle, row.side) in (("", ""), (at.muscle, at.side))
        if same and here and gates.state_of_override(row) == state:
            return row
    return None
