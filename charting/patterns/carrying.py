"""Patterns that come in a file: kept as it was brought, then written as versions, all or nothing."""

import hashlib

from django.db import transaction

from charting.audit.services import Actor, record
from charting.patterns import services
from charting.patterns.models import PatternFile
from charting.patterns.plans import Plan
from charting.staff.models import Practice, User
from charting.staff.rights import require


@transaction.atomic
def bring(*, who: User, name: str, text: str) -> PatternFile:
    """Keep a file as it was brought, before anything of it is used. Raises PermissionDenied."""
    require(who, services.RIGHT)
    return _bring(who, Practice.objects.get(staff=who), name, text, who)


@transaction.atomic
def import_file(*, who: User, file: PatternFile, seen: str) -> int:
    """Write every pattern of a file as a new version, all or nothing; how many were written.

    `seen`: the key of the plan that the writer saw. Raises PermissionDenied; NotKept when an entry is
    refused, or when the practice's patterns have changed since the plan was shown.
    """
    require(who, services.RIGHT)
    return _import(who, file, seen, who)


@transaction.atomic
def import_text(*, who: Actor, practice: Practice, name: str, text: str, seen: str) -> int:
    """The same for somebody at the command line, who has the rights of the machine."""
    return _import(who, _bring(who, practice, name, text, None), seen, None)


def _bring(who: Actor, practice: Practice, name: str, text: str, by: User | None) -> PatternFile:
    sha256 = hashlib.sha256(text.encode()).hexdigest()
    file = PatternFile.objects.create(
        practice=practice, name=name[:200], text=text, sha256=sha256, brought_by=by
    )
    record(who=who, did="brought pattern file", what=file, sha256=sha256)
    return file


def _import(who: Actor, file: PatternFile, seen: str, by: User | None) -> int:
    services.lock(file.practice)
    plan = Plan.of(file.practice, file.text, file.name)
    if plan.refused:
        raise services.NotKept(
            "Nothing was imported: " + "; ".join(str(problem) for problem in plan.refused) + "."
        )
    if plan.key != seen:
        raise services.NotKept("The patterns have changed since this was shown. Look at the list again.")
    for one in plan.to_write:
        services.write_version(by or who, file.practice, one.pattern, file=file)
    record(who=who, did="imported patterns", what=file, versions=len(plan.to_write))
    return len(plan.to_write)
