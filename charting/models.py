"""The tables of every noun, gathered so that Django finds them. A table of contents, no code."""

from charting.appointments.models import Appointment
from charting.assessment.models import Conclusion
from charting.audit.models import AuditEntry
from charting.consent.models import Consent, ConsentConfirmed, ConsentTextVersion, ConsentWithdrawn
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
from charting.episodes.models import Episode, EpisodeEvent
from charting.examination.models import MuscleFinding, RangeReading
from charting.flags.models import Decision, FollowUp
from charting.handover.models import HandOver
from charting.history.models import DangerAnswer, StandingFact, Story, StoryAnswer
from charting.intake.models import ConsentRead
from charting.notes.models import Addendum, NoteText, SignedNote, SignedPaper
from charting.outcomes.models import OutcomeScore
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
from charting.treatment.models import (
    AdverseEvent,
    AdverseFollowUp,
    GateOverride,
    HomeProgramme,
    LateAdvice,
    NeedleIncident,
    TreatmentEntry,
)
from charting.visits.models import Visit

__all__ = [
    "Addendum",
    "AdverseEvent",
    "AdverseFollowUp",
    "Appointment",
    "AreaAnswer",
    "Attachment",
    "AttachmentStruck",
    "AuditEntry",
    "BoardAnswer",
    "ClearedParts",
    "Conclusion",
    "Consent",
    "ConsentConfirmed",
    "ConsentRead",
    "ConsentTextVersion",
    "ConsentWithdrawn",
    "Contact",
    "DangerAnswer",
    "Decision",
    "Draft",
    "EnteredInError",
    "Episode",
    "EpisodeEvent",
    "FollowUp",
    "GateOverride",
    "Grouping",
    "HandOver",
    "HomeProgramme",
    "LateAdvice",
    "MuscleFinding",
    "NeedleIncident",
    "NeuroFinding",
    "NoteText",
    "OutcomeScore",
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
    "TreatmentEntry",
    "User",
    "Visit",
    "Withdrawal",
]
