"""Two records of one person made one. Nothing is copied or thrown away: it can be taken apart again."""

from collections.abc import Mapping
from typing import Any

from django.core.exceptions import PermissionDenied
from django.db import transaction
from django.utils import timezone

from charting.audit.services import record
from charting.drafts.models import Draft
from charting.merging import queries
from charting.merging.models import PatientMerge
from charting.merging.tables import MOVED
from charting.patients.access import lastingly_of
from charting.patients.dates import dates_meant
from charting.patients.forms import PatientForm
from charting.patients.models import Patient, PatientIdentifier, PatientSite
from charting.patients.names import folded
from charting.staff.models import User
from charting.staff.rights import require
from charting.visits.models import Visit

RIGHT = "merge records"
KEPT, GONE = "kept", "gone"
# What tells one person from another. Where it differs, that must be said to be known.
TELLING_APART = {"name": "name", "birth_date": "date of birth", "sex": "sex"}

TO_CALL = ("emergency_phone", "emergency_relation")


class NotMerged(Exception):
    """Nothing was merged; the text tells why and what to do. `field`: which one to mend, if one."""

    def __init__(self, why: str, field: str = "") -> None:
        super().__init__(why)
        self.field = field


def differing(kept: Patient, gone: Patient) -> tuple[str, ...]:
    """What of TELLING_APART differs. A sex that nobody recorded differs from none."""
    unknown = Patient.Sex.UNKNOWN in (kept.sex, gone.sex)
    return tuple(
        name
        for name, is_other in (
            ("name", kept.search_name != gone.search_name),
            ("birth_date", kept.birth_date != gone.birth_date),
            ("sex", kept.sex != gone.sex and not unknown),
        )
        if is_other
    )


def to_choose(kept: Patient, gone: Patient) -> tuple[str, ...]:
    """The fields of which one value is chosen. Relation and number go with the name of whom to call: those
    of one contact beside the name of another would help nobody.
    """
    unlike = [name for name in PatientForm.ABOUT if getattr(kept, name) != getattr(gone, name)]
    bound = TO_CALL if "emergency_name" in unlike else ()
    return tuple(name for name in unlike if name not in bound)


def is_named(typed: str, gone: Patient, kept: Patient) -> bool:
    """Whether the record that goes was named: by its number, or by its birth date where only it has that."""
    typed = typed.strip()
    if typed.isdecimal() and len(typed) < 8:
        return int(typed) == gone.record_number
    is_own = gone.birth_date != kept.birth_date
    return is_own and gone.birth_date in dates_meant(typed, today=timezone.localdate())


@transaction.atomic
def merge(
    *,
    who: User,
    kept: Patient,
    gone: Patient,
    seen: str,
    named: str,
    known: frozenset[str],
    values: Mapping[str, str],
    reason: str,
) -> PatientMerge:
    """Make `gone` a part of `kept`. `seen`: queries.state_of as the page showed it; `named`: the number or
    birth date of the one that goes, as typed; `known`: which of TELLING_APART differ and were said to be
    known; `values`: {field of PatientForm.ABOUT: KEPT or GONE}, KEPT where a field is not named.

    Raises NotMerged, PermissionDenied.
    """
    require(who, RIGHT)
    kept, gone = _locked(who, kept, gone)
    _check(kept, gone, seen, named, known, reason)
    taken = sorted(name for name in to_choose(kept, gone) if values.get(name) == GONE)
    if "emergency_name" in taken:
        taken += TO_CALL
    stood = {KEPT: _about(kept), GONE: _about(gone), "rows": queries.ids_of(kept), "taken": taken}
    moved = _move(kept, gone)
    _take_values(kept, gone, taken)
    now = timezone.now()
    Patient.objects.filter(pk=gone.pk).update(merged_into=kept, merged_at=now, version=gone.version + 1)
    row = PatientMerge.objects.create(
        kept=kept, gone=gone, moved=moved, stood=stood, reason=reason.strip(), done_by=who
    )
    counts = {name: len(ids) for name, ids in moved.items()}
    record(who=who, did="merged records", what=kept, merge=str(row.pk), gone=str(gone.pk), **counts)
    record(who=who, did="was merged", what=gone, merge=str(row.pk), into=str(kept.pk))
    return row


def _locked(who: User, kept: Patient, gone: Patient) -> tuple[Patient, Patient]:
    """Both records as they stand now, held against other writers, always in the same order."""
    if kept.practice_id != who.practice_id or gone.practice_id != who.practice_id:
        raise PermissionDenied("These people are registered with another practice.")
    rows = lastingly_of(who).select_for_update().filter(pk__in=(kept.pk, gone.pk)).order_by("pk")
    found = {row.pk: row for row in rows}
    if kept.pk == gone.pk:
        raise NotMerged("This is one record, not two.")
    if len(found) < 2:
        raise NotMerged(
            "Somebody merged one of these records meanwhile, or it is open to you in an emergency only. Open "
            "the person once more."
        )
    return found[kept.pk], found[gone.pk]


def _check(kept: Patient, gone: Patient, seen: str, named: str, known: frozenset[str], reason: str) -> None:
    for held in queries.devices_out(kept, gone):
        raise NotMerged(
            f"A device is out for the visit of {timezone.localtime(held.visit.started_at):%-d %B %Y}, given "
            f"by {held.given_by}. Take it back first, so that nothing lands in the wrong record."
        )
    if seen != queries.state_of(kept, gone):
        raise NotMerged("Somebody changed one of the records since this was shown. Read both again.")
    if not is_named(named, gone, kept):
        what = "record number" if gone.birth_date == kept.birth_date else "record number or date of birth"
        raise NotMerged(f"Type the {what} of the record that goes, as it stands above.", "named")
    for name in differing(kept, gone):
        if name not in known:
            raise NotMerged(f"The {TELLING_APART[name]} differs. Say that you know, and why.", "known")
    if not reason.strip():
        raise NotMerged("Write how you know that they are one person.", "reason")


def _about(patient: Patient) -> dict[str, Any]:
    """What is on record of the person, as plain data."""
    values = {name: getattr(patient, name) for name in PatientForm.ABOUT}
    return {
        **values,
        "birth_date": patient.birth_date.isoformat(),
        "record_number": patient.record_number,
    }


def _take_values(kept: Patient, gone: Patient, taken: list[str]) -> None:
    for name in taken:
        setattr(kept, name, getattr(gone, name))
    kept.search_name = folded(kept.name)
    # Above both: a form that was open on either record is shown again with what stands now.
    kept.version = max(kept.version, gone.version) + 1
    kept.save()


def _move(kept: Patient, gone: Patient) -> dict[str, list[str]]:
    """Every row that can change goes over; {name: ids}, with records merged earlier and forms begun."""
    moved: dict[str, list[str]] = {}
    own = Visit.objects.filter(patient=gone, made_under=None)
    moved["made_under"] = [str(pk) for pk in own.values_list("pk", flat=True)]
    own.update(made_under=gone)
    for name, ids in queries.ids_of(gone).items():
        if name == "identifiers":
            ids = _new_identifiers(kept, gone)
        if name == "sites":
            ids = _new_sites(kept, gone)
        MOVED[name]._default_manager.filter(pk__in=ids).update(patient=kept)
        moved[name] = ids
    earlier = Patient.objects.filter(merged_into=gone)
    moved["records"] = [str(pk) for pk in earlier.values_list("pk", flat=True)]
    earlier.update(merged_into=kept)
    moved["drafts"] = _move_drafts(kept, gone)
    return moved


def _new_identifiers(kept: Patient, gone: Patient) -> list[str]:
    """Those of `gone` that `kept` has not."""
    known = set(PatientIdentifier.objects.filter(patient=kept).values_list("system", "value"))
    rows = PatientIdentifier.objects.filter(patient=gone)
    return [str(row.pk) for row in rows if (row.system, row.value) not in known]


def _new_sites(kept: Patient, gone: Patient) -> list[str]:
    """Where only `gone` is seen so far."""
    rows = PatientSite.objects.filter(patient=gone).exclude(site__people__patient=kept)
    return [str(pk) for pk in rows.values_list("pk", flat=True)]


def _move_drafts(kept: Patient, gone: Patient) -> list[str]:
    """What was typed and not saved goes on under the record that stays. Raises NotMerged for a clash."""
    moved = []
    for draft in queries.drafts_about(gone).select_related("user"):
        key = draft.key.replace(str(gone.pk), str(kept.pk))
        if Draft.objects.filter(user=draft.user, key=key).exists():
            raise NotMerged(
                f"{draft.user} has begun the same form for both records and saved neither. Save them first."
            )
        Draft.objects.filter(pk=draft.pk).update(key=key)
        moved.append(str(draft.pk))
    return moved
