"""The tables of every noun, gathered so that Django finds them. A table of contents, no code."""

from charting.audit.models import AuditEntry
from charting.consent.models import Consent
from charting.drafts.models import Draft
from charting.drawing.models import (
    AreaAnswer,
    BoardAnswer,
    ClearedParts,
    EnteredInError,
    Grouping,
    PaperSheet,
    StoredStroke,
    Withdrawal,
)
from charting.handover.models import HandOver
from charting.history.models import DangerAnswer, Story
from charting.notes.models import Addendum, NoteText, SignedNote, SignedPaper
from charting.patients.models import Patient
from charting.patterns.models import (
    PatternDrawing,
    PatternFile,
    PatternStroke,
    PatternVersion,
    PatternWithdrawal,
)
from charting.screening.models import NeuroFinding
from charting.staff.models import Practice, SignInTry, User
from charting.visits.models import Visit

__all__ = [
    "Addendum",
    "AreaAnswer",
    "AuditEntry",
    "BoardAnswer",
    "ClearedParts",
    "Consent",
    "DangerAnswer",
    "Draft",
    "EnteredInError",
    "Grouping",
    "HandOver",
    "NeuroFinding",
    "NoteText",
    "PaperSheet",
    "Patient",
    "PatternDrawing",
    "PatternFile",
    "PatternStroke",
    "PatternVersion",
    "PatternWithdrawal",
    "Practice",
    "SignInTry",
    "SignedNote",
    "SignedPaper",
    "StoredStroke",
    "Story",
    "User",
    "Visit",
    "Withdrawal",
]
