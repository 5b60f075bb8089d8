"""The tables of every noun, gathered so that Django finds them. A table of contents, no code."""

from charting.audit.models import AuditEntry
from charting.consent.models import Consent
from charting.drafts.models import Draft
from charting.drawing.models import BoardAnswer, HandOver, StoredStroke, Withdrawal
from charting.history.models import DangerAnswer, Story
from charting.notes.models import Addendum, NoteText, SignedNote, SignedPaper
from charting.patients.models import Patient
from charting.screening.models import NeuroFinding
from charting.staff.models import Practice, User
from charting.visits.models import Visit

__all__ = [
    "Addendum",
    "AuditEntry",
    "BoardAnswer",
    "Consent",
    "DangerAnswer",
    "Draft",
    "HandOver",
    "NeuroFinding",
    "NoteText",
    "Patient",
    "Practice",
    "SignedNote",
    "SignedPaper",
    "StoredStroke",
    "Story",
    "User",
    "Visit",
    "Withdrawal",
]
