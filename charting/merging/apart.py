"""A merge that was wrong, taken apart: every row goes back; of each made since somebody says whose it is."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

from django.core.exceptions import PermissionDenied
from django.db import transaction
from django.db.models import F, Model, Q
from django.utils import timezone

from charting.appointments.models import Appointment
from charting.audit.services import record
from charting.drafts.models import Draft
from charting.episodes.models import Episode
from charting.insurance.models import Claim
from charting.letters.models import Letter
from charting.merging import queries
from charting.merging.models import PatientMerge, PatientUnmerge
from charting.merging.services import GONE, KEPT, RIGHT
from charting.merging.tables import MOVED, NOT_ASKED, STAY
from charting.patients.access import records_of
from charting.patients.models import Patient
from charting.patients.names import folded
from charting.staff.models import User
from charting.staff.rights import require
from charting.visits.models import Visit


class NotApart(Exception):
    """Nothing was taken apart; the text tells why and what to do. `key`: which choice is missing, if one."""

    def __init__(self, why: str, key: str = "") -> None:
        super().__init__(why)
        self.key = key


@dataclass(frozen=True)
class Since:
    """A row made since the merge under the record that stayed. `key`: "visits:<id>"."""

    key: str
    name: str
    row: Model


def holds(merge: PatientMerge) -> str:
    """Why it can't be taken apart now; "" when it can."""
    if hasattr(merge, "undone"):
        return "This merge was taken apart already."
    if merge.kept.merged_into_id:
        return "The record that stayed was merged into another one later. Take that merge apart first."
    for held in queries.devices_out(merge.kept):
        day = timezone.localtime(held.visit.started_at)
        return (
            f"A device is out for the visit of {day:%-d %B %Y}, given by {held.given_by}. Take it back first."
        )
    return ""


def made_since(merge: PatientMerge) -> tuple[Since, ...]:
    """What was made under the record that stayed since then, and came by no other merge."""
    found = []
    for name, ids in queries.ids_of(merge.kept).items():
        if name in NOT_ASKED:
            continue
        known = {*merge.moved.get(name, []), *merge.stood["rows"].get(name, []), *_came_later(merge, name)}
        rows = MOVED[name]._default_manager.filter(pk__in=[pk for pk in ids if pk not in known])
        found += [Since(f"{name}:{row.pk}", name, row) for row in rows if not _follows_a_visit(row)]
    return tuple(found)


def _came_later(merge: PatientMerge, name: str) -> Iterator[str]:
    later = PatientMerge.objects.filter(kept=merge.kept, done_at__gt=merge.done_at).exclude(pk=merge.pk)
    for other in later:
        yield from other.moved.get(name, [])


def _follows_a_visit(row: Model) -> bool:
    """An appointment is where its visit is, a complaint where its visits are, a letter where that is."""
    if isinstance(row, Letter) or getattr(row, "visit_id", None):
        return True
    return isinstance(row, Episode) and row.visits.exists()


def stay_since(merge: PatientMerge) -> dict[str, list[Model]]:
    """What was written since and never changes: it stays with the record it was written under."""
    found = {}
    for name, model in STAY.items():
        rows = model._default_manager.filter(patient=merge.kept, **{f"{_made_at(model)}__gt": merge.done_at})
        if any(field.name == "visit" for field in model._meta.get_fields()):
            rows = rows.filter(visit=None)
        found[name] = list(rows.defer("content") if name == "papers" else rows)
    return {name: rows for name, rows in found.items() if rows}


def _made_at(model: type[Model]) -> str:
    """The column that the database fills in when a row is made."""
    return next(field.name for field in model._meta.fields if getattr(field, "auto_now_add", False))


@transaction.atomic
def unmerge(*, who: User, merge: PatientMerge, choices: Mapping[str, str], reason: str) -> PatientUnmerge:
    """Take a merge apart. `choices`: {key of Since: KEPT or GONE}, for every row made since.

    Raises NotApart, PermissionDenied.
    """
    require(who, RIGHT)
    merge = _locked(who, merge)
    if why := holds(merge):
        raise NotApart(why)
    if not reason.strip():
        raise NotApart("Write how you know that they are two people.", "reason")
    left = _left(merge, choices)
    now = timezone.now()
    _put_back(merge, left)
    _mend_seams(who, merge)
    for patient, columns in _columns_after(merge, now).items():
        Patient.objects.filter(pk=patient.pk).update(**columns)
    row = PatientUnmerge.objects.create(merge=merge, left=left, reason=reason.strip(), done_by=who)
    told = {"merge": str(merge.pk), "since": len(choices)}
    record(who=who, did="took records apart", what=merge.kept, gone=str(merge.gone_id), **told)
    record(who=who, did="stands alone again", what=merge.gone, kept=str(merge.kept_id), **told)
    return row


def _locked(who: User, merge: PatientMerge) -> PatientMerge:
    ids = (merge.kept_id, merge.gone_id)
    rows = records_of(who).select_for_update().filter(pk__in=ids).order_by("pk")
    if len(list(rows)) < len(ids):
        raise PermissionDenied("These people are registered with another practice.")
    return PatientMerge.objects.select_related("kept__merged_into", "gone").get(pk=merge.pk)


def _left(merge: PatientMerge, choices: Mapping[str, str]) -> dict[str, dict[str, list[str]]]:
    left: dict[str, dict[str, list[str]]] = {}
    for since in made_since(merge):
        chosen = choices.get(since.key)
        if chosen not in (KEPT, GONE):
            raise NotApart("Say for each that was made since whose it is.", since.key)
        left.setdefault(since.name, {KEPT: [], GONE: []})[chosen].append(str(since.row.pk))
    return left


def _put_back(merge: PatientMerge, left: Mapping[str, Mapping[str, list[str]]]) -> None:
    for name, model in MOVED.items():
        ids = [*merge.moved.get(name, []), *left.get(name, {}).get(GONE, [])]
        model._default_manager.filter(pk__in=ids, patient=merge.kept).update(patient=merge.gone)
    Visit.objects.filter(pk__in=merge.moved["made_under"], made_under=merge.gone).update(made_under=None)
    Patient.objects.filter(pk__in=merge.moved["records"]).update(merged_into=merge.gone)
    for draft in Draft.objects.filter(pk__in=merge.moved["drafts"]):
        key = draft.key.replace(str(merge.kept_id), str(merge.gone_id))
        if not Draft.objects.filter(user_id=draft.user_id, key=key).exists():
            Draft.objects.filter(pk=draft.pk).update(key=key)


def _mend_seams(who: User, merge: PatientMerge) -> None:
    """Nothing of one person hangs on something of the other."""
    both = (merge.kept, merge.gone)
    for episode in Episode.objects.filter(patient__in=both):
        owners = set(episode.visits.values_list("patient", flat=True))
        if len(owners) == 1 and episode.patient_id not in owners:
            Episode.objects.filter(pk=episode.pk).update(patient=owners.pop())
    for visit in Visit.objects.filter(patient__in=both).exclude(episode=None).select_related("episode"):
        if visit.episode and visit.episode.patient_id != visit.patient_id:
            Visit.objects.filter(pk=visit.pk).update(episode=_own_episode(who, visit, visit.episode))
    for letter in Letter.objects.filter(patient__in=both).select_related("episode"):
        Letter.objects.filter(pk=letter.pk).update(patient=letter.episode.patient_id)
    for row in Appointment.objects.filter(patient__in=both).exclude(visit=None).select_related("visit"):
        Appointment.objects.filter(pk=row.pk).update(patient=row.visit.patient_id if row.visit else None)
    claims = Claim.objects.filter(episode__patient__in=both).exclude(policy=None)
    astray = claims.filter(~Q(policy__patient=F("episode__patient")))
    astray.update(policy=None, version=F("version") + 1)


def _own_episode(who: User, visit: Visit, other: Episode) -> Episode:
    """The same complaint for the other person: made for the first of the visits that goes there."""
    told = {"patient": visit.patient, "title": other.title}
    found = Episode.objects.filter(**told).exclude(visits=None).first()
    if found is None:
        found = Episode.objects.create(
            **told, opened_at=visit.started_at, opened_by=who, closed_at=other.closed_at
        )
        record(who=who, did="opened episode", what=found, after="records taken apart")
    return found


def _columns_after(merge: PatientMerge, now: datetime) -> dict[Patient, dict[str, Any]]:
    """What stood of both before, where nobody changed it since; all that was confirmed is doubted."""
    kept, gone = merge.kept, merge.gone
    values = dict(_values_back(merge))
    name = f"{values.get('given_names', kept.given_names)} {values.get('family_name', kept.family_name)}"
    both = {"doubted_at": now, "version": max(kept.version, gone.version) + 1}
    return {
        kept: {**values, "search_name": folded(name), **both},
        gone: {"merged_into": None, "merged_at": None, **both},
    }


def _values_back(merge: PatientMerge) -> Iterator[tuple[str, Any]]:
    for name in merge.stood["taken"]:
        now = getattr(merge.kept, name)
        if (now.isoformat() if name == "birth_date" else now) == merge.stood[GONE][name]:
            before = merge.stood[KEPT][name]
            yield name, date.fromisoformat(before) if name == "birth_date" else before
