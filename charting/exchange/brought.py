"""Files that come from elsewhere: brought, shown, done. Nothing is taken in before somebody saw it."""

import hashlib
from collections.abc import Mapping

from django.db import transaction
from django.utils import timezone

from charting.audit.services import record
from charting.exchange.bring_queries import locked
from charting.exchange.fhir_person import PersonReader
from charting.exchange.models import ImportFile
from charting.exchange.people import PeopleReader
from charting.exchange.plans import NotDone, Plan, Question, Reader
from charting.staff.models import Practice, User
from charting.staff.rights import require

RIGHT = "import people"
# A kind of file, and what reads it.
readers: dict[str, Reader] = {ImportFile.What.CSV: PeopleReader(), ImportFile.What.FHIR: PersonReader()}


@transaction.atomic
def bring(*, who: User, what: str, name: str, content: bytes) -> ImportFile:
    """Keep a file as it was brought. Raises PermissionDenied; KeyError for a kind that nothing reads."""
    require(who, RIGHT)
    if what not in readers:
        raise KeyError(what)
    sha256 = hashlib.sha256(content).hexdigest()
    file = ImportFile.objects.create(
        practice=Practice.objects.get(staff=who),
        what=what,
        name=name[-160:],
        content=content,
        sha256=sha256,
        brought_by=who,
    )
    record(who=who, did="brought file", what=file, kind=what, sha256=sha256)
    return file


def plan_of(user: User, file: ImportFile, said: Mapping[str, str]) -> Plan | None:
    """What the file would do; None until every question of its kind is answered."""
    reader = readers[file.what]
    if unanswered(reader, said):
        return None
    return reader.plan(user, bytes(file.content), said)


def unanswered(reader: Reader, said: Mapping[str, str]) -> tuple[Question, ...]:
    return tuple(one for one in reader.questions if said.get(one.name) not in one.values)


@transaction.atomic
def do(
    *, who: User, file: ImportFile, seen: str, said: Mapping[str, str], sent: Mapping[str, str]
) -> ImportFile:
    """Take a file in, all or nothing. `seen`: the key of the plan that was shown; `sent`: what was chosen,
    by key of step. A second tap gives what the first did.

    Raises PermissionDenied; NotDone when an entry is refused, a choice is missing, the people of the
    practice have changed since the plan was shown, or the file was left.
    """
    require(who, RIGHT)
    kept = locked(who, file.pk)
    if kept.done_at:
        if was_left(kept):
            raise NotDone("This file was left, and its content is no longer here. Bring it again.")
        return kept
    # Nobody is registered between the plan and what comes of it.
    Practice.objects.select_for_update().get(pk=kept.practice_id)
    plan = plan_of(who, kept, said)
    if plan is None:
        raise NotDone("Answer the questions about the file first.")
    if plan.refused:
        raise NotDone("Nothing was taken in: mend what is listed below in the file, then bring it again.")
    if plan.key != seen:
        raise NotDone("The people of the practice have changed since this was shown. Look at it again.")
    kept.outcome = readers[kept.what].take_in(who, plan, plan.decided(sent))
    kept.done_at = timezone.now()
    kept.save(update_fields=["outcome", "done_at"])
    counts = {name: len(rows) for name, rows in kept.outcome.items()}
    record(who=who, did="took in file", what=kept, **counts)
    return kept


@transaction.atomic
def leave(*, who: User, file: ImportFile) -> None:
    """Do nothing with a file: what it said of people is not kept. Harmless when it was done or left."""
    require(who, RIGHT)
    kept = locked(who, file.pk)
    if kept.done_at:
        return
    kept.content, kept.done_at, kept.outcome = b"", timezone.now(), {}
    kept.save(update_fields=["content", "done_at", "outcome"])
    record(who=who, did="left file", what=kept)


def was_left(file: ImportFile) -> bool:
    return file.done_at is not None and not file.outcome
