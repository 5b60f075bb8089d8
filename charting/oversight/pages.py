"""What the page of the log may use."""

from dataclasses import dataclass
from urllib.parse import urlencode

from charting.audit.models import AuditEntry
from charting.audit.verify import Report, verify
from charting.oversight.queries import PAGE, Wanted, entries, record_numbers
from charting.staff.models import Practice

# So many of the last entries are checked whenever the page is opened; the command checks all.
CHECKED = 1000


@dataclass(frozen=True)
class Line:
    """One entry. `record`: the number of the record it belongs to; None for what belongs to nobody's, or to
    one that was purged.
    """

    entry: AuditEntry
    record: int | None

    @property
    def about(self) -> str:
        return f"record {self.record}" if self.record else f"{self.entry.object_type} {self.entry.object_id}"

    @property
    def detail(self) -> str:
        """ "events 3; changed story, work": the members in order of their names."""
        return "; ".join(f"{name} {_said(value)}" for name, value in sorted(self.entry.detail.items()))


@dataclass(frozen=True)
class LogPage:
    """`older`: the query of the next page, "" at the end; `checked`: the last entries, verified."""

    lines: tuple[Line, ...]
    older: str
    newest: str
    checked: Report


def log_page(practice: Practice, wanted: Wanted) -> LogPage:
    found = entries(practice, wanted)
    shown = found[:PAGE]
    numbers = record_numbers(practice, shown)
    lines = tuple(Line(row, numbers.get((row.object_type, row.object_id))) for row in shown)
    older = _query(wanted, before=shown[-1].seq) if len(found) > PAGE else ""
    return LogPage(lines, older, _query(wanted), verify(practice.pk, last=CHECKED))


def _said(value: object) -> str:
    return ", ".join(str(each) for each in value) if isinstance(value, list) else str(value)


def _query(wanted: Wanted, **more: int) -> str:
    said = {
        "member": wanted.member,
        "action": wanted.action,
        "day": wanted.day,
        "record": wanted.record,
        **more,
    }
    return urlencode({name: value for name, value in said.items() if value})
