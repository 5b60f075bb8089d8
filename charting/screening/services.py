"""Every write to the neurological screen."""

from collections.abc import Mapping

from django.db import transaction

from charting.audit.services import record
from charting.drafts.services import forget
from charting.screening import neuro_screen
from charting.screening.models import NeuroFinding
from charting.screening.queries import state_of
from charting.staff.models import User
from charting.staff.rights import require
from charting.versioning import Stale
from charting.visits.models import Visit
from charting.visits.services import require_open


def draft_key(visit: Visit) -> str:
    return f"neuro:{visit.pk}"


@transaction.atomic
def record_findings(
    *, who: User, visit: Visit, state: str, findings: Mapping[tuple[str, str], tuple[str, str]]
) -> None:
    """Make these the findings of the visit, by (item, side): (grade, remark).

    Raises ValueError for an unknown item, side or grade, or NT without a reason; Stale when somebody
    recorded since `state`; VisitSigned when signed.
    """
    require(who, "treat")
    require_open(visit)
    for (item, side), (grade, remark) in findings.items():
        _check(item, side, grade, remark)
    if state_of(visit) != state:
        raise Stale(visit)
    changed = [f"{item}/{side}" for (item, side), said in findings.items() if _keep(visit, item, side, *said)]
    taken_out = _take_out(visit, set(findings))
    forget(who=who, key=draft_key(visit))
    record(
        who=who,
        did="recorded neuro screen",
        what=visit,
        screen=neuro_screen.load().version,
        changed=changed,
        taken_out=taken_out,
    )


def _check(item: str, side: str, grade: str, remark: str) -> None:
    screen = neuro_screen.load()
    section = next((section for section, each in screen.tests() if each.key == item), None)
    if section is None or side not in NeuroFinding.Side.values:
        raise ValueError(f"{item} {side} is no test of the neuro screen")
    if grade not in {each.value for each in section.grades}:
        raise ValueError(f"{grade!r} is no grade of {item}")
    if grade == screen.not_tested and not remark:
        raise ValueError(f"{item} {side}: not tested needs a reason")


def _keep(visit: Visit, item: str, side: str, grade: str, remark: str) -> bool:
    """Whether anything changed."""
    row = NeuroFinding.objects.filter(visit=visit, item=item, side=side).first()
    if row and (row.grade, row.remark) == (grade, remark):
        return False
    NeuroFinding.objects.update_or_create(
        visit=visit, item=item, side=side, defaults={"grade": grade, "remark": remark}
    )
    return True


def _take_out(visit: Visit, kept: set[tuple[str, str]]) -> list[str]:
    gone = [row for row in NeuroFinding.objects.filter(visit=visit) if (row.item, row.side) not in kept]
    for row in gone:
        row.delete()
    return [f"{row.item}/{row.side}" for row in gone]
