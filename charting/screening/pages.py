"""What the page of the neurological screen may use."""

from dataclasses import dataclass

from charting.drafts.models import Draft
from charting.screening.forms import NeuroForm, field_name
from charting.screening.queries import Finding, NeuroTable
from charting.staff.models import User
from charting.visits.models import Visit
from charting.visits.queries import may_write

# (where, on record now, typed by you), after two saves at once.
Clashes = tuple[tuple[str, str, str], ...]


@dataclass(frozen=True)
class NeuroPage:
    """The grid for who may record, the table of what is on record for everybody who may read."""

    form: NeuroForm
    table: NeuroTable
    may_write: bool
    draft_key: str
    draft: Draft | None
    clashes: Clashes


def neuro_page(
    visit: Visit,
    user: User,
    table: NeuroTable,
    form: NeuroForm,
    key: str,
    *,
    draft: Draft | None = None,
    clashes: Clashes = (),
) -> NeuroPage:
    return NeuroPage(form, table, may_write(user, visit), key, draft, clashes)


def clashes_of(form: NeuroForm, current: NeuroTable) -> Clashes:
    found = []
    for table in current.tables:
        for row in table.rows:
            for side, now in (("right", row.right), ("left", row.left)):
                name = field_name(row.key, side)
                typed = Finding(form.cleaned_data[name], "", form.cleaned_data[f"{name}_remark"])
                if (now.grade, now.remark) != (typed.grade, typed.remark):
                    found.append((f"{table.title}, {row.label}, {side}", _said(now), _said(typed)))
    return tuple(found)


def _said(finding: Finding) -> str:
    return f"{finding.grade}: {finding.remark}" if finding.remark else finding.grade
