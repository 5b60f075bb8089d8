"""Changes as test_every_change.py makes them: {act(who, visit): the module whose `record` it calls}."""

from collections.abc import Callable
from types import ModuleType
from typing import Any

from charting.exchange import brought
from charting.exchange.models import ImportFile
from charting.staff.models import User
from charting.visits.models import Visit

CONTENT = b"surname,first name,born\nSommer,Ida,1971-03-04\n"


def a_file(user: User) -> ImportFile:
    """A list that waits."""
    found = ImportFile.objects.filter(practice=user.practice, done_at=None).first()
    told = {"practice": user.practice, "what": "csv", "name": "people.csv", "content": CONTENT}
    return found or ImportFile.objects.create(brought_by=user, sha256="", **told)


def bring_file(who: User, visit: Visit) -> None:
    brought.bring(who=who, what="csv", name="people.csv", content=CONTENT)


def take_in_file(who: User, visit: Visit) -> None:
    file, said = a_file(who), {"dates": "iso"}
    plan = brought.plan_of(who, file, said)
    assert plan is not None
    chosen = {step.key: "new" for step in plan.steps}
    brought.do(who=who, file=file, seen=plan.key, said=said, sent=chosen)


def leave_file(who: User, visit: Visit) -> None:
    brought.leave(who=who, file=a_file(who))


CHANGES: dict[Callable[..., Any], ModuleType] = {
    bring_file: brought,
    take_in_file: brought,
    leave_file: brought,
}
