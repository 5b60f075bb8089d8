"""The tables of every noun, gathered so that Django finds them. A table of contents, no code."""

from charting.appointments.models import Appointment
from charting.assessment.models import Conclusion
from charting.audit.models import AuditEntry
from charting.coding.models import DiagnosisCode
from charting.consent.models import Consent, ConsentConfirmed, ConsentTextVersion, ConsentWithdrawn
from charting.contacts.models import Attachment, AttachmentStruck, Contact
from charting.drafts.models import Draft
from charting.drawing.models import (
    AreaAnswer,
    BoardAnswer,
    ClearedParts,
    DrawnCells,
    EnteredInError,
    Grouping,
    PaperSheet,
    StoredStroke,
    Withdrawal,
)
from charting.episodes.models import Episode, EpisodeEvent
from charting.examination.models import MuscleFinding, RangeReading
from charting.exchange.models import ImportFile
from charting.flags.models import Decision, FollowUp
from charting.handover.models import HandOver
from charting.history.models import DangerAnswer, StandingFact, Story, StoryAnswer
from charting.insurance.models import Authorisation, Certification, Claim, Payer, Policy, WorkStatus
from charting.intake.models import ConsentRead
from charting.letters.models import Letter, LetterPaper, SignedLetter
from charting.merging.models import PatientMerge, PatientUnmerge
from charting.notes.models import (
    Addendum,
    AmendmentRequest,
    AmendmentStep,
    CoSignature,
    NoteSentence,
    NoteText,
    SignedNote,
    SignedPaper,
    TextBlock,
)
from charting.outcomes.models import OutcomeScore
from charting.patients.models import EmergencyAccess, Patient, PatientIdentifier, PatientSite
from charting.patterns.models import (
    PatternDrawing,
    PatternFile,
    PatternStroke,
    PatternVersion,
    PatternWithdrawal,
)
from charting.report.models import IssuedPaper
from charting.retention.models import Purge
from charting.screening.models import NeuroFinding
from charting.staff.models import BackupCode, Practice, SecondFactor, SignInTry, Site, StaffSession, User
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
    "AmendmentRequest",
    "AmendmentStep",
    "Appointment",
    "AreaAnswer",
    "Attachment",
    "AttachmentStruck",
    "AuditEntry",
    "Authorisation",
    "BackupCode",
    "BoardAnswer",
    "Certification",
    "Claim",
    "ClearedParts",
    "CoSignature",
    "Conclusion",
    "Consent",
    "ConsentConfirmed",
    "ConsentRead",
    "ConsentTextVersion",
    "ConsentWithdrawn",
    "Contact",
    "DangerAnswer",
    "Decision",
    "DiagnosisCode",
    "Draft",
    "DrawnCells",
    "EmergencyAccess",
    "EnteredInError",
    "Episode",
    "EpisodeEvent",
    "FollowUp",
    "GateOverride",
    "Grouping",
    "HandOver",
    "HomeProgramme",
    "ImportFile",
    "IssuedPaper",
    "LateAdvice",
    "Letter",
    "LetterPaper",
    "MuscleFinding",
    "NeedleIncident",
    "NeuroFinding",
    "NoteSentence",
    "NoteText",
    "OutcomeScore",
    "PaperSheet",
    "Patient",
    "PatientIdentifier",
    "PatientMerge",
    "PatientSite",
    "PatientUnmerge",
    "PatternDrawing",
    "PatternFile",
    "PatternStroke",
    "PatternVersion",
    "PatternWithdrawal",
    "Payer",
    "Policy",
    "Practice",
    "Purge",
    "RangeReading",
    "SecondFactor",
    "SignInTry",
    "SignedLetter",
    "SignedNote",
    "SignedPaper",
    "Site",
    "StaffSession",
    "StandingFact",
    "StoredStroke",
    "Story",
    "StoryAnswer",
    "Telling",
    "TextBlock",
    "TreatmentEntry",
    "User",
    "Visit",
    "Withdrawal",
    "WorkStatus",
]
