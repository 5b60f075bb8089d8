"""What stands against a needle in a visit, and what holds its signature back. Reads only.

Consent and undecided signs of danger hold every treatment and are asked in `allowed`; here they stand beside
the gates of needling, so that one list says all.
"""

import hashlib
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from typing import Any

from django.core.exceptions import PermissionDenied
from django.utils import timezone

from bodymaps.atlas import Atlas
from bodymaps.reasoning import needling
from bodymaps.reasoning.case import Case
from bodymaps.reasoning.needling import Gate
from charting.consent.models import Consent
from charting.consent.queries import covers
from charting.flags.models import Decision
from charting.flags.queries import FlagState, facts_of, state_with
from charting.history.queries import standing_of
from charting.history.standing import Fact
from charting.patterns.queries import atlas_for
from charting.treatment import incidents, techniques
from charting.treatment.allowed import Held, held_back
from charting.treatment.models import GateOverride, LateAdvice, TreatmentEntry
from charting.treatment.where import Where, words_of
from charting.visits.models import Visit

SENT = {Decision.Outcome.SENT_NOW: "sent_now", Decision.Outcome.SENT_TODAY: "sent_today"}


class GateHolds(PermissionDenied):
    """A needle may not go in yet: `gates` are the stops that nobody has gone past."""

    def __init__(self, gates: Sequence[Gate]) -> None:
        self.gates = tuple(gates)
        named = "; ".join(dict.fromkeys(gate.title for gate in gates))
        super().__init__(
            f"This holds the needle back: {named}. Mend it, or go past it with a reason where that may be."
        )


@dataclass(frozen=True)
class Overridden:
    """A stop that a clinician decided to go past, and why."""

    gate: Gate
    decision: GateOverride


@dataclass(frozen=True)
class Grounds:
    """What the gates of one visit are found from: read once for any number of muscles."""

    visit: Visit
    case: Case
    danger: FlagState
    facts: tuple[Fact, ...]
    entries: tuple[TreatmentEntry, ...]
    overrides: tuple[GateOverride, ...]
    atlas: Atlas


@dataclass(frozen=True)
class GatesFound:
    """Everything to know before a needle goes into one muscle. `at_risk`: the structures, to be shown first.
    `held`: consent or a decision that is missing, never to be gone past. `stops`: what holds until it is
    mended or gone past; `overridden`: what somebody has gone past. `depths`: published ones, to stand beside
    the depth. `over_lung`: depth, length and direction are needed, and the advice about late symptoms.
    """

    at: Where
    place: str
    at_risk: tuple[Gate, ...]
    held: tuple[Held, ...]
    stops: tuple[Gate, ...]
    cautions: tuple[Gate, ...]
    notes: tuple[Gate, ...]
    depths: tuple[Gate, ...]
    overridden: tuple[Overridden, ...]
    over_lung: bool

    @property
    def may_needle(self) -> bool:
        return not (self.held or self.stops)

    @property
    def sources(self) -> tuple[str, ...]:
        """Who says so, each once: "work (checked)". The atlas says the status in the source."""
        gates = (*self.stops, *self.cautions, *self.notes, *self.depths)
        told = [f"{gate.source} ({gate.status})" for gate in gates]
        return tuple(dict.fromkeys((*(gate.source for gate in self.at_risk), *told)))

    @property
    def can_override(self) -> tuple[Gate, ...]:
        return tuple(gate for gate in self.stops if gate.overridable)


def grounds_of(visit: Visit) -> Grounds:
    """A fixed number of queries."""
    facts = facts_of(visit)
    return Grounds(
        visit=visit,
        case=facts.case,
        danger=state_with(visit, facts),
        facts=standing_of(visit.patient),
        entries=tuple(TreatmentEntry.objects.filter(visit=visit)),
        overrides=tuple(GateOverride.objects.filter(visit=visit).select_related("decided_by")),
        atlas=atlas_for(visit.patient.practice),
    )


def gates_for(
    visit: Visit,
    *,
    technique: str,
    muscle: str,
    side: str,
    site: str = "",
    area: str = "",
    depth_mm: float | None = None,
    grounds: Grounds | None = None,
) -> GatesFound:
    """Every gate of one muscle; of a technique without needles only consent and danger. `depth_mm`: as
    entered; `area`: where a muscle lies that only the practice knows. Two or three queries for each area of
    consent; `grounds` saves reading the rest again.
    """
    known = techniques.load().get(technique)
    if known is None:
        raise ValueError(f"no such technique: {technique!r}")
    at, grounds = Where(muscle, side, site, area), grounds or grounds_of(visit)
    held = held_back(visit, known, at, danger=grounds.danger)
    found = _gates(grounds, at, depth_mm) if known.needle else ()
    return _sorted(at, held, found, grounds)


def require_may_needle(visit: Visit, *, muscle: str, side: str, site: str = "", area: str = "") -> None:
    """Raise GateHolds while a stop of needling holds that nobody has gone past. Call it inside the
    transaction of the write; consent and signs of danger are asked by `allowed.require_allowed`.
    """
    at, grounds = Where(muscle, side, site, area), grounds_of(visit)
    if stops := _sorted(at, (), _gates(grounds, at, None), grounds).stops:
        raise GateHolds(stops)


def stops_in(grounds: Grounds, at: Where) -> tuple[Gate, ...]:
    """The stops of one muscle that hold, whatever is signed."""
    return _sorted(at, (), _gates(grounds, at, None), grounds).stops


def shown_of(gate: Gate) -> dict[str, Any]:
    """The gate as it stands, to be kept with an override."""
    return {
        "title": gate.title,
        "words": gate.words,
        "level": gate.level,
        "because": gate.because,
        "source": gate.source,
        "status": gate.status,
    }


def state_of(gate: Gate) -> str:
    """A short mark of a gate: it changes when the record makes something else of it."""
    return _mark(gate.id, gate.muscle, gate.side, gate.level, gate.because, gate.words)


def state_of_override(row: GateOverride) -> str:
    """The mark of the gate that was gone past, as it stood."""
    shown = row.shown
    return _mark(row.gate, row.muscle, row.side, shown["level"], shown["because"], shown["words"])


def _mark(*said: str) -> str:
    return hashlib.sha256("|".join(said).encode()).hexdigest()[:16]


def overrides_of(visit: Visit) -> tuple[GateOverride, ...]:
    """Every override of the visit, oldest first."""
    return tuple(GateOverride.objects.filter(visit=visit).select_related("decided_by"))


def late_advice_of(visit: Visit) -> tuple[LateAdvice, ...]:
    """What was said about late symptoms, oldest first."""
    return tuple(LateAdvice.objects.filter(visit=visit).select_related("given_by"))


def over_lung_in(rows: Iterable[TreatmentEntry]) -> tuple[TreatmentEntry, ...]:
    """The entries with needles over the lung."""
    return tuple(
        row for row in rows if row.needles and needling.needs_late_advice(row.muscle, row.site, row.area)
    )


def stops_of(visit: Visit, entries: Sequence[TreatmentEntry] | None = None) -> tuple[str, ...]:
    """What holds the signature of a visit back: needles not settled, late advice not recorded.

    Needles that went into the person count whatever else is said. Three queries at most, one fewer with the
    entries of the visit at hand.
    """
    rows = tuple(TreatmentEntry.objects.filter(visit=visit)) if entries is None else entries
    if not any(row.needles for row in rows):
        return ()
    known = atlas_for(visit.patient.practice)
    found = list(incidents.stops_in(visit, rows, known))
    lung = over_lung_in(rows)
    if lung and not LateAdvice.objects.filter(visit=visit).exists():
        named = "; ".join(_place(row, known) for row in lung)
        found.append(f"Needled over the lung ({named}): record the advice about late symptoms.")
    return tuple(found)


def _gates(grounds: Grounds, at: Where, depth_mm: float | None) -> tuple[Gate, ...]:
    needled = [(row.muscle, row.side, row.site) for row in grounds.entries if row.needles]
    of_muscle = needling.muscle_gates(at.muscle, at.side, grounds.case, grounds.atlas, at.site, at.area)
    deep = () if depth_mm is None else needling.depth_gates(at.muscle, at.side, depth_mm, at.site)
    both = needling.visit_gates([*needled, (at.muscle, at.side, at.site)])
    person = (_met(gate, grounds.visit, at) for gate in needling.person_gates(grounds.case))
    return (*of_muscle, *deep, *_of_visit(grounds), *both, *person)


def _of_visit(grounds: Grounds) -> Iterable[Gate]:
    if not grounds.danger.is_screened:
        yield needling.visit_gate("not_screened")
    for standing in grounds.danger.standing:
        if standing.last and standing.last.outcome in SENT:
            id_ = SENT[Decision.Outcome(standing.last.outcome)]
            yield needling.visit_gate(id_, because=standing.flag.title)
    now = timezone.now()
    if old := [fact.subject.item.label for fact in grounds.facts if fact.is_old(now)]:
        yield needling.visit_gate("confirm_again", because="; ".join(old))


def _met(gate: Gate, visit: Visit, at: Where) -> Gate:
    """A stop that the consent of a guardian meets is a caution; the person can still say no."""
    if gate.level != "stop" or gate.met_by != needling.GUARDIAN or not at.consent_keys:
        return gate
    found = [covers(visit, procedure="needling", area=key) for key in at.consent_keys]
    met = all(one.ok and one.consent and one.consent.signer == Consent.Signer.GUARDIAN for one in found)
    return replace(gate, level="caution") if met else gate


def _sorted(at: Where, held: Sequence[Held], gates: Sequence[Gate], grounds: Grounds) -> GatesFound:
    gone_past = {gate: row for gate in gates if (row := _override_of(gate, grounds.overrides))}
    rest = [gate for gate in gates if gate not in gone_past and gate.kind != needling.STRUCTURE]
    return GatesFound(
        at=at,
        place=words_of(at, grounds.atlas),
        at_risk=tuple(gate for gate in gates if gate.kind == needling.STRUCTURE),
        held=tuple(held),
        stops=tuple(gate for gate in rest if gate.level == "stop"),
        cautions=tuple(gate for gate in rest if gate.level == "caution"),
        notes=tuple(gate for gate in rest if gate.level == "note" and gate.kind != needling.DEPTH),
        depths=tuple(gate for gate in rest if gate.level == "note" and gate.kind == needling.DEPTH),
        overridden=tuple(Overridden(gate, row) for gate, row in gone_past.items()),
        over_lung=needling.over_lung(at.muscle, at.site, at.area),
    )


def _override_of(gate: Gate, overrides: Iterable[GateOverride]) -> GateOverride | None:
    """The last decision to go past just this gate, as it stands now: what changed asks again."""
    if gate.level != "stop" or not gate.overridable:
        return None
    key = (gate.id, gate.muscle, gate.side)
    rows = [row for row in overrides if (row.gate, row.muscle, row.side) == key]
    return next((row for row in reversed(rows) if row.shown == shown_of(gate)), None)


def _place(row: TreatmentEntry, known: Atlas) -> str:
    return words_of(Where(row.muscle, row.side), known)
