"""What the pages about two records of one person may use."""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from django.forms import BoundField
from django.utils import timezone

from charting.contacts.models import Contact
from charting.history.standing import Fact
from charting.merging import apart, queries
from charting.merging.apart import Since
from charting.merging.forms import ApartForm, MergeForm, label_of
from charting.merging.models import PatientMerge
from charting.merging.queries import Pair
from charting.merging.services import GONE, KEPT, TELLING_APART, differing, to_choose
from charting.merging.tables import MOVED, STAY, counted
from charting.patients.forms import PatientForm
from charting.patients.models import Patient
from charting.patients.queries import of_person_or_visit
from charting.staff.models import User
from charting.treatment.models import AdverseEvent
from charting.visits.models import Visit

# So many of the visits and reactions of each record stand side by side; the rest is counted.
MOST = 8


@dataclass(frozen=True)
class Line:
    """One thing that both records say. `name`: the field, where one is to be chosen; `is_loud`: tells two
    people apart.
    """

    label: str
    kept: str
    gone: str
    differs: bool
    is_loud: bool
    name: str = ""
    chosen: str = ""


@dataclass(frozen=True)
class FactLine:
    """What stands with either. `disagree`: must be asked anew."""

    label: str
    kept: str
    gone: str
    disagree: bool


@dataclass(frozen=True)
class Side:
    """What is recorded under one record: counted, and the last of it."""

    patient: Patient
    counts: tuple[str, ...]
    visits: tuple[Visit, ...]
    reactions: tuple[AdverseEvent, ...]


@dataclass(frozen=True)
class FindPage:
    """Which other record may be of the same person, and what was merged with it so far."""

    patient: Patient
    pairs: tuple[tuple[Patient, str], ...]
    merges: tuple[PatientMerge, ...]


@dataclass(frozen=True)
class MergePage:
    """Two records side by side. `held`: devices that are out; `warnings`: what tells two people apart."""

    kept: Side
    gone: Side
    lines: tuple[Line, ...]
    facts: tuple[FactLine, ...]
    warnings: tuple[str, ...]
    held: tuple[str, ...]

    @property
    def disagree(self) -> bool:
        return any(line.disagree for line in self.facts)


@dataclass(frozen=True)
class ApartPage:
    """A merge, and what taking it apart needs. `holds`: why it can't be now; `stays`: in words, what was
    written since and can't move.
    """

    merge: PatientMerge
    moved: tuple[str, ...]
    fields: tuple[BoundField, ...]
    stays: tuple[str, ...]
    holds: str
    undone: Any


def pairs_page(user: User) -> tuple[Pair, ...]:
    return queries.likely_twice(user)


def find_page(user: User, patient: Patient) -> FindPage:
    pairs = (
        (pair.other if pair.one == patient else pair.one, pair.why)
        for pair in queries.likely_twin_records(user, patient)
    )
    return FindPage(patient, tuple(pairs), tuple(queries.merges_of(user, patient)))


def merge_page(kept: Patient, gone: Patient, form: MergeForm) -> MergePage:
    return MergePage(
        kept=_side(kept),
        gone=_side(gone),
        lines=tuple(_lines(kept, gone, form)),
        facts=tuple(
            FactLine(_label(one, other), _said(one), _said(other), disagree)
            for one, other, disagree in queries.facts_that_disagree(kept, gone)
        ),
        warnings=tuple(TELLING_APART[name] for name in differing(kept, gone)),
        held=tuple(
            f"for the visit of {timezone.localtime(row.visit.started_at):%-d %B %Y}, given by {row.given_by}"
            for row in queries.devices_out(kept, gone)
        ),
    )


def _side(patient: Patient) -> Side:
    counts = queries.counts_of(patient)
    said = tuple(counted(name, counts[name]) for name in (*MOVED, *STAY) if counts[name])
    visits = Visit.objects.filter(patient=patient).select_related("episode", "clinician")
    events = AdverseEvent.objects.filter(of_person_or_visit(patient), corrected_by=None)
    return Side(patient, said, tuple(visits[:MOST]), tuple(events[:MOST]))


def _lines(kept: Patient, gone: Patient, form: MergeForm) -> Iterator[Line]:
    loud, chosen = differing(kept, gone), to_choose(kept, gone)
    for name in PatientForm.ABOUT:
        apart_by = "name" if name in ("family_name", "given_names") else name
        yield Line(
            label=label_of(name),
            kept=_value(kept, name),
            gone=_value(gone, name),
            differs=getattr(kept, name) != getattr(gone, name),
            is_loud=name in chosen and apart_by in loud,
            name=f"value_{name}" if name in chosen else "",
            chosen=str(form[f"value_{name}"].value()) if name in chosen else "",
        )


def _value(patient: Patient, name: str) -> str:
    value = getattr(patient, name)
    if name == "birth_date":
        return f"{value.day} {value:%B} {value.year}"
    return patient.get_sex_display() if name == "sex" else str(value)


def _label(one: Fact | None, other: Fact | None) -> str:
    fact = one or other
    return fact.subject.item.label if fact else ""


def _said(fact: Fact | None) -> str:
    if fact is None:
        return "not asked"
    return f"{fact.words} (confirmed {timezone.localtime(fact.confirmed_at):%-d %B %Y})"


def words_of(merge: PatientMerge, since: tuple[Since, ...]) -> dict[str, str]:
    """What each row made since is called, and the two people."""
    kept, gone = merge.stood[KEPT], merge.stood[GONE]
    names = {
        side: f"{said['given_names']} {said['family_name']}, record {said['record_number']}"
        for side, said in ((KEPT, kept), (GONE, gone))
    }
    return names | {one.key: _row_words(one) for one in since}


def _row_words(one: Since) -> str:
    row: Any = one.row
    when = getattr(row, "started_at", None) or getattr(row, "starts_at", None)
    day = f" of {timezone.localtime(when):%-d %B %Y}" if when else ""
    what = counted(one.name, 1).removeprefix("1 ").capitalize()
    return f"{what}{day}" if day else f"{what}: {row}"


def apart_page(merge: PatientMerge, form: ApartForm) -> ApartPage:
    stays = apart.stay_since(merge)
    return ApartPage(
        merge=merge,
        moved=tuple(counted(name, len(merge.moved[name])) for name in MOVED if merge.moved.get(name)),
        fields=tuple(form[key] for key in form.keys),
        stays=tuple(_stay_words(name, row) for name, rows in stays.items() for row in rows),
        holds=apart.holds(merge),
        undone=getattr(merge, "undone", None),
    )


def _stay_words(name: str, row: Any) -> str:
    if isinstance(row, Contact):
        return f"{row.get_way_display()}, {timezone.localtime(row.happened_at):%-d %B %Y, %H:%M}"
    return f"{counted(name, 1).removeprefix('1 ').capitalize()}: {row}"
