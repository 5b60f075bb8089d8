"""The tables of every noun, gathered so that Django finds them. A table of contents, no code."""

from charting.assessment.models import Conclusion
from charting.audit.models import AuditEntry
from charting.consent.models import Consent
from charting.contacts.models import Attachment, AttachmentStruck, Contact
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
from charting.examination.models import MuscleFinding, RangeReading
from charting.flags.models import Decision, FollowUp
from charting.handover.models import HandOver
from charting.history.models import DangerAnswer, StandingFact, Story, StoryAnswer
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
from charting.telling.models import Telling
from charting.visits.models import Visit

__all__ = [
    "Addendum",
    "AreaAnswer",
    "Attachment",
    "AttachmentStruck",
    "AuditEntry",
    "BoardAnswer",
    "ClearedParts",
    "Conclusion",
    "Consent",
    "Contact",
    "DangerAnswer",
    "Decision",
    "Draft",
    "EnteredInError",
    "FollowUp",
    "Grouping",
    "HandOver",
    "MuscleFinding",
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
    "RangeReading",
    "SignInTry",
    "SignedNote",
    "SignedPaper",
    "StandingFact",
    "StoredStroke",
    "Story",
    "StoryAnswer",
    "Telling",
    "User",
    "Visit",
    "Withdrawal",
]
