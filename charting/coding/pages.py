"""What the page of codes may use."""

from collections.abc import Sequence
from dataclasses import dataclass

from charting.coding import excludes, search, table
from charting.coding.cautions import Caution, cautions_of
from charting.coding.evidence import Evidence
from charting.coding.models import DiagnosisCode
from charting.coding.offers import Offer, offers
from charting.coding.queries import codes_of, evidence_of, last_codes_before
from charting.coding.refusals import NeedsReason, Refusal
from charting.coding.search import Found
from charting.coding.table import CODE_SIGNS, Entry, Note
from charting.staff.models import User
from charting.visits.models import Visit
from charting.visits.queries import may_write

# How the kinds of notes are headed, in this order.
HEADINGS = {
    "includes": "Includes",
    "excludes1": "Excludes1: never together with",
    "excludes2": "Excludes2: another thing, may stand beside it",
    "code_first": "Code first",
    "use_additional_code": "Use an additional code",
    "code_also": "Code also",
    "notes": "Note",
}
ELSEWHERE = "in diseases classified elsewhere"


@dataclass(frozen=True)
class Chosen:
    """A code of the visit. `now`: what speaks against it today and was not said when it was chosen."""

    row: DiagnosisCode
    now: tuple[Caution, ...]
    notes: tuple[tuple[str, tuple[Note, ...]], ...]
    is_first: bool
    is_last: bool


@dataclass(frozen=True)
class CodesPage:
    """`told`: what the list says of the codes together. `last`: the codes of the last visit that are not
    chosen. `refusal`: why the last one was not taken; `reason`: what was typed for it. `failed`: it asks
    for a reason.
    """

    chosen: tuple[Chosen, ...]
    told: tuple[str, ...]
    last: tuple[DiagnosisCode, ...]
    offers: tuple[Offer, ...]
    release: str
    asked: str
    found: Found
    may_write: bool
    refusal: Refusal | None = None
    reason: str = ""

    @property
    def needs_reason(self) -> bool:
        return isinstance(self.refusal, NeedsReason)

    @property
    def codes(self) -> tuple[str, ...]:
        return tuple(one.row.code for one in self.chosen)


def codes_page(
    visit: Visit, user: User, *, asked: str = "", refusal: Refusal | None = None, reason: str = ""
) -> CodesPage:
    rows, writes = codes_of(visit), may_write(user, visit)
    found = evidence_of(visit) if writes else Evidence()
    held = {row.code for row in rows}
    return CodesPage(
        chosen=tuple(_chosen(row, place, len(rows), found) for place, row in enumerate(rows)),
        told=told(_entries(rows)),
        last=tuple(row for row in last_codes_before(visit) if row.code not in held) if writes else (),
        offers=offers(found) if writes else (),
        release=table.load().release,
        asked=asked,
        found=search.find(asked) if writes else Found(),
        may_write=writes,
        refusal=refusal,
        reason=reason,
    )


def told(entries: Sequence[Entry]) -> tuple[str, ...]:
    """What is another thing by the list (Excludes2), and a main code that may not come first. What whole
    chapters and blocks say of others ("symptoms, R00-R94") is left out.
    """
    apart = (
        f"{pair.one.code} and {pair.other.code} are two different things (Excludes2 {pair.words}): "
        "both may stand where the patient has both."
        for pair in excludes.pairs(entries, excludes.APART)
        if CODE_SIGNS.fullmatch(pair.note.at)
    )
    return (*_not_first(entries), *apart)


def _not_first(entries: Sequence[Entry]) -> tuple[str, ...]:
    if entries and ELSEWHERE in entries[0].title.casefold():
        first = entries[0].code
        return (f"{first} names what comes of another disease: by the list that disease is coded before it.",)
    return ()


def _chosen(row: DiagnosisCode, place: int, of: int, found: Evidence) -> Chosen:
    entry = table.load().entry(row.code)
    now = cautions_of(entry, found) if entry else ()
    fresh = tuple(one for one in now if one.words not in row.cautions)
    return Chosen(row, fresh, _notes(entry) if entry else (), place == 0, place == of - 1)


def _notes(entry: Entry) -> tuple[tuple[str, tuple[Note, ...]], ...]:
    held = table.load().notes_of(entry)
    grouped = ((words, tuple(one for one in held if one.kind == kind)) for kind, words in HEADINGS.items())
    return tuple((words, notes) for words, notes in grouped if notes)


def _entries(rows: Sequence[DiagnosisCode]) -> tuple[Entry, ...]:
    return tuple(filter(None, (table.load().entry(row.code) for row in rows)))
