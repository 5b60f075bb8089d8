"""Every write of what was found on examination."""

from collections.abc import Mapping

from django.db import transaction

from bodymaps.reasoning import items
from bodymaps.reasoning.case import value_of
from bodymaps.reasoning.items import NOT_TESTED
from charting.audit.services import record
from charting.drafts.services import forget
from charting.screening import sections
from charting.screening.models import NeuroFinding
from charting.screening.queries import as_number, found_in, reflex_scale_in, state_in
from charting.screening.sections import JOINT, NEURO, REFLEX_SCALES, SIDES, VITAL, Cell
from charting.staff.models import User
from charting.staff.rights import require
from charting.versioning import Stale
from charting.visits.models import Visit
from charting.visits.services import require_open

DID = {NEURO: "recorded neuro screen", VITAL: "recorded vitals", JOINT: "recorded joint tests"}


class OtherScale(ValueError):
    """Reflexes are on record on the other scale, and nobody said that those grades are to be taken out."""


def draft_key(visit: Visit, page: str = NEURO) -> str:
    return f"neuro:{visit.pk}" if page == NEURO else f"{page}s:{visit.pk}"


@transaction.atomic
def record_findings(
    *,
    who: User,
    visit: Visit,
    state: str,
    findings: Mapping[Cell, tuple[str, str]],
    page: str = NEURO,
    switch_scale: bool = False,
) -> None:
    """Make these the findings of one page of the visit, by (test, side): (grade, remark); numbers as text.

    Raises ValueError for an unknown test, side or grade, a number out of range, NT without a reason, or
    reflexes on two scales; OtherScale when the other scale has grades on record, unless `switch_scale`; Stale
    when somebody recorded since `state`; VisitSigned when signed.
    """
    require(who, "treat")
    require_open(visit)
    for (item, side), (grade, remark) in findings.items():
        _check(page, item, side, grade, remark)
    before = found_in(visit)
    if state_in(before, page) != state:
        raise Stale(visit)
    _check_scale(findings, before, switch_scale)
    changed, taken_out = _keep(visit, before, findings, page)
    forget(who=who, key=draft_key(visit, page))
    record(
        who=who,
        did=DID[page],
        what=visit,
        screen=items.findings().version,
        changed=[_name(cell) for cell in changed],
        taken_out=[_name(cell) for cell in taken_out],
    )


def _check(page: str, key: str, side: str, grade: str, remark: str) -> None:
    catalogue = items.findings()
    item = catalogue.items.get(key)
    if item is None or sections.page_of(key) != page or side not in (SIDES if item.sided else ("",)):
        raise ValueError(f"{key} {side} is no test of the page {page}")
    value_of(catalogue, key, as_number(item, grade), "findings", side)
    if grade == NOT_TESTED and not remark:
        raise ValueError(f"{key} {side}: not tested needs a reason")


def _check_scale(findings: Mapping[Cell, tuple[str, str]], before: Mapping[Cell, object], sure: bool) -> None:
    used = {scale for scale in REFLEX_SCALES for key, _ in findings if key.startswith(f"{scale}:")}
    if len(used) > 1:
        raise ValueError("reflexes are graded on one scale in a visit, not on two")
    on_record = reflex_scale_in({cell: ("", "") for cell in before})
    if used and on_record and on_record not in used and not sure:
        raise OtherScale("reflexes are on record on the other scale")


def _keep(
    visit: Visit, before: Mapping[Cell, tuple[str, str]], findings: Mapping[Cell, tuple[str, str]], page: str
) -> tuple[list[Cell], list[Cell]]:
    """What was added or changed, and what was taken out."""
    changed = [cell for cell, said in findings.items() if before.get(cell) != said]
    mine = set(sections.every_cell(page))
    gone = [cell for cell in before if cell in mine and cell not in findings]
    NeuroFinding.objects.bulk_create(
        [NeuroFinding(visit=visit, item=cell[0], side=cell[1], grade=grade, remark=remark)
         for cell, (grade, remark) in ((cell, findings[cell]) for cell in changed)],
        update_conflicts=True,
        unique_fields=["visit", "item", "side"],
        update_fields=["grade", "remark"],
    )  # fmt: skip
    for key, side in gone:
        NeuroFinding.objects.filter(visit=visit, item=key, side=side).delete()
    return changed, gone


def _name(cell: Cell) -> str:
    key, side = cell
    return f"{key}/{side}" if side else key
