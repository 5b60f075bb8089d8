"""What the pages of contacts and papers may use."""

from dataclasses import dataclass

from charting.contacts.forms import ContactForm, PaperForm, StrikeForm
from charting.contacts.models import Contact
from charting.contacts.queries import Line, Paper, log_of, papers_of, ways_written_by
from charting.contacts.services import draft_key, paper_draft_key
from charting.drafts.models import Draft
from charting.patients.models import Patient
from charting.staff.models import User
from charting.staff.rights import may

# As many as the page of a person shows.
LATEST = 3


@dataclass(frozen=True)
class LineShown:
    """One line, and what this member of staff may do about it."""

    line: Line
    may_settle: bool
    may_correct: bool

    @property
    def contact(self) -> Contact:
        return self.line.contact


@dataclass(frozen=True)
class ContactsPage:
    """The log of one person, and the form for a further line."""

    patient: Patient
    lines: tuple[LineShown, ...]
    form: ContactForm
    draft_key: str
    draft: Draft | None
    may_log: bool
    is_part: bool


@dataclass(frozen=True)
class FurtherPage:
    """A further line about one that is there: `verb` is "settle" or "correct"."""

    patient: Patient
    line: Line
    verb: str
    form: ContactForm
    draft_key: str
    draft: Draft | None


@dataclass(frozen=True)
class LatestContacts:
    """The last lines, for the page of the person."""

    patient: Patient
    lines: tuple[Line, ...]
    open_count: int
    opens_papers: bool


@dataclass(frozen=True)
class PapersPage:
    """The papers of one person, and the form to add one."""

    patient: Patient
    papers: tuple[Paper, ...]
    form: PaperForm
    draft_key: str
    draft: Draft | None
    may_add: bool


@dataclass(frozen=True)
class PaperPage:
    """One paper to look at."""

    patient: Patient
    paper: Paper
    form: StrikeForm
    may_strike: bool


def contacts_page(
    user: User, patient: Patient, form: ContactForm, draft: Draft | None = None
) -> ContactsPage:
    written = ways_written_by(user)
    lines = tuple(
        LineShown(
            line,
            may_settle=line.is_open and bool(written),
            may_correct=line.corrected_by is None and line.contact.way in written,
        )
        for line in log_of(user, patient)
    )
    is_part = not may(user, "open chart")
    return ContactsPage(patient, lines, form, draft_key(patient), draft, bool(written), is_part)


def latest_contacts(user: User, patient: Patient) -> LatestContacts:
    lines = log_of(user, patient)
    standing = tuple(line for line in lines if not line.corrected_by)
    waiting = sum(line.is_open for line in lines)
    return LatestContacts(patient, standing[:LATEST], waiting, may(user, "open chart"))


def papers_page(user: User, patient: Patient, form: PaperForm, draft: Draft | None = None) -> PapersPage:
    papers = papers_of(user, patient)
    return PapersPage(patient, papers, form, paper_draft_key(patient), draft, may(user, "treat"))


def paper_page(user: User, patient: Patient, paper: Paper, form: StrikeForm) -> PaperPage:
    return PaperPage(patient, paper, form, may(user, "treat") and not paper.struck)
