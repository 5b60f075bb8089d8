"""Every row of a person, whatever table it stands in.

Tables are found by following their keys to the person: one that is added later comes along by itself.
"""

import hashlib
import uuid
from collections.abc import Iterable, Iterator
from datetime import date, datetime, time
from decimal import Decimal
from functools import cache
from typing import Any

from django.apps import apps
from django.db.models import BinaryField, ForeignKey, Model, Q, QuerySet

from charting.contacts.models import Attachment, AttachmentStruck
from charting.drawing import strikes
from charting.drawing.models import TABLES
from charting.merging.models import PatientMerge, PatientUnmerge
from charting.patients.models import Patient
from charting.visits.models import Visit

# Keys that may lead to somebody else: where a drawing went that was struck here because it was another
# person's, and the record of a merge that was undone.
NOT_FOLLOWED = {("EnteredInError", "moved_to"), ("Patient", "merged_into"), ("Visit", "made_under")}
# Members that are not given out: they open doors, or say whose a struck drawing was.
# Members of a merge may tell of somebody else, where it was undone.
NOT_GIVEN = {
    ("HandOver", "token_sha256"),
    ("EnteredInError", "moved_to_id"),
    ("PatientMerge", "moved"),
    ("PatientMerge", "stood"),
    ("PatientUnmerge", "left"),
}
Row = dict[str, Any]


@cache
def tables() -> dict[type[Model], tuple[str, ...]]:
    """Every table with rows of a person, and the paths from a row to the person, nearest tables first."""
    paths: dict[type[Model], tuple[str, ...]] = {Patient: ("pk",)}
    models = list(apps.get_app_config("charting").get_models())
    while True:
        found = {
            model: steps for model in models if model not in paths and (steps := _paths_of(model, paths))
        }
        if not found:
            return {**paths, **{model: _paths_of(model, paths) for model in paths if model is not Patient}}
        paths.update(found)


def _paths_of(model: type[Model], known: dict[type[Model], tuple[str, ...]]) -> tuple[str, ...]:
    """All ways to the person: a row may be hers by one of several keys, each of which may be empty."""
    found = []
    for field in model._meta.get_fields():
        if not isinstance(field, ForeignKey) or (model.__name__, field.name) in NOT_FOLLOWED:
            continue
        target = field.related_model
        if isinstance(target, type) and target is not model and target in known:
            found += [field.name if path == "pk" else f"{field.name}__{path}" for path in known[target]]
    return tuple(dict.fromkeys(path for path in found if path.count("__") < 5))


def rows_of(people: Iterable[Patient]) -> Iterator[tuple[type[Model], list[Model]]]:
    """Table by table, those without a row left out. Drawings of other people that were struck stay out."""
    ids = [one.pk for one in people]
    struck = _struck(ids)
    for model, paths in tables().items():
        found = model._default_manager.filter(_of_these(paths, ids)).exclude(_of_others(model))
        rows = list(found.order_by("pk").distinct())
        if model in TABLES:
            rows = [row for row in rows if getattr(row, "event_id", None) not in struck]
        if rows:
            yield model, rows


def held_by(model: type[Model], ids: Iterable[uuid.UUID]) -> QuerySet[Any]:
    """Every row of a table that hangs on these people, what is given out to nobody too."""
    return model._default_manager.filter(_of_these(tables()[model], list(ids))).distinct()


def _of_these(paths: Iterable[str], ids: list[uuid.UUID]) -> Q:
    """A row that names a visit follows its visit, whatever person it was written for (queries.of_person)."""
    wanted = Q()
    for path in paths:
        alone = Q(visit=None) if path == "patient" and "visit__patient" in paths else Q()
        wanted |= Q(**{f"{path}__in": ids}) & alone
    return wanted


def _of_others(model: type[Model]) -> Q:
    """Papers that were put into the wrong chart, and merges with somebody who was not the same person."""
    if model is Attachment:
        return Q(paper__in=AttachmentStruck.objects.values("paper"))
    if model is PatientMerge:
        return Q(undone__isnull=False)
    return Q(pk__isnull=False) if model is PatientUnmerge else Q(pk__isnull=True)


def _struck(ids: Iterable[uuid.UUID]) -> frozenset[uuid.UUID]:
    found: set[uuid.UUID] = set()
    for visit in Visit.objects.filter(patient__in=ids, struck__isnull=False).distinct():
        found |= strikes.struck_in(visit, strikes.around(visit))
    return frozenset(found)


def as_data(row: Model) -> Row:
    """Plain data; instead of bytes their length and SHA-256: the files stand beside it."""
    said = {}
    for field in row._meta.concrete_fields:
        if (type(row).__name__, field.attname) in NOT_GIVEN:
            continue
        value = getattr(row, field.attname)
        said[field.attname] = _file(value) if isinstance(field, BinaryField) else plain(value)
    return said


def _file(value: Any) -> dict[str, Any]:
    content = bytes(value or b"")
    return {"bytes": len(content), "sha256": hashlib.sha256(content).hexdigest()}


def plain(value: Any) -> Any:
    if isinstance(value, datetime | date | time):
        return value.isoformat()
    return str(value) if isinstance(value, uuid.UUID | Decimal) else value
