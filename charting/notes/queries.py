"""Every read of a note."""

from dataclasses import dataclass
from datetime import date
from typing import Any
from zoneinfo import ZoneInfo

from django.db.models import Count, Exists, OuterRef
from django.shortcuts import get_object_or_404

from charting.assessment.models import Conclusion
from charting.examination.queries import has_joints, has_muscles
from charting.history.queries import has_story
from charting.insurance.missing import missing_of
from charting.notes.models import (
    Addendum,
    AmendmentRequest,
    AmendmentStep,
    CoSignature,
    NoteText,
    SignedNote,
    SignedPaper,
)
from charting.notes.sentences_queries import rows_of, written_in
from charting.outcomes.queries import has_scores
from charting.report.content import assemble
from charting.report.papers import Added, Signature, day, moment
from charting.screening.queries import has_findings
from charting.treatment.gate_warnings import warnings_of
from charting.treatment.gates import stops_of
from charting.treatment.queries import entries_of, entry_count, has_needles_to_count
from charting.visits.models import Visit

# Of a sentence that is named in a warning.
LONGEST_BRIEF = 90


@dataclass(frozen=True)
class Gaps:
    """What stands between a visit and its signature: `stops` must be mended, `warnings` may be accepted."""

    stops: tuple[str, ...]
    warnings: tuple[str, ...]


@dataclass(frozen=True)
class Glance:
    """What a visit holds beside the danger screen and the drawing, without reading any of it."""

    has_story: bool
    has_findings: bool
    has_muscles: bool
    has_joints: bool
    has_conclusions: bool
    has_scores: bool
    entry_count: int
    has_needles_to_count: bool
    has_words: bool
    consent_count: int
    confirmed_count: int
    code_count: int


def glance_at(visit: Visit) -> Glance:
    """One query."""
    held = Visit.objects.filter(pk=visit.pk).values(
        has_story=has_story(),
        has_findings=has_findings(),
        has_muscles=has_muscles(),
        has_joints=has_joints(),
        has_conclusions=Exists(Conclusion.objects.filter(visit=OuterRef("pk"))),
        has_scores=has_scores(),
        entry_count=entry_count(),
        has_needles_to_count=has_needles_to_count(),
        has_words=Exists(
            NoteText.objects.filter(visit=OuterRef("pk")).exclude(
                subjective="", objective="", assessment="", plan=""
            )
        ),
        consent_count=Count("consents", distinct=True),
        confirmed_count=Count("consents_confirmed", distinct=True),
        code_count=Count("codes", distinct=True),
    )
    return Glance(**held.get())


def text_of(visit: Visit) -> NoteText:
    """The words as saved; an unsaved row with version 0 when nothing was saved yet."""
    return NoteText.objects.filter(visit=visit).first() or NoteText(visit=visit, version=0)


def recorded_in(visit: Visit) -> dict[str, Any]:
    """The whole visit with the words as saved (report.content.assemble): what a signature would freeze."""
    return assemble(visit, written=written_in(text_of(visit), rows_of(visit)))


def gaps_of(visit: Visit, recorded: dict[str, Any]) -> Gaps:
    """What is missing in a visit that was assembled, its needles too, and what an insurer asks for."""
    gaps, entries = gaps_in(recorded), entries_of(visit)
    stops, warnings = stops_of(visit, entries), warnings_of(visit, entries)
    asked = _not_told_to_insurer(visit) if recorded["insurance"] else []
    return Gaps((*gaps.stops, *stops), (*gaps.warnings, *warnings, *asked))


def _not_told_to_insurer(visit: Visit) -> list[str]:
    """Where somebody is recorded who pays."""
    missing = missing_of(visit.episode, visit, paper="note") if visit.episode else ()
    return [f"For the insurer: {one.words}" for one in missing]


def gaps_in(recorded: dict[str, Any]) -> Gaps:
    """What is missing in an assembled visit. No query."""
    stops = []
    if not recorded["danger"]["is_complete"]:
        stops.append("The danger screen is not complete.")
    if _is_empty(recorded, "assessment"):
        stops.append("The assessment is empty: neither a conclusion about an area nor words of your own.")
    undecided = recorded["danger"]["undecided"]
    warnings = [f"A sign of danger is not decided about: {named}." for named in undecided]
    warnings += [
        f"The danger screen asks for action: {alarm['topic'].lower()}."
        for alarm in recorded["danger"]["alarms"]
    ]
    warnings += [*_not_asked(recorded), *_not_felt(recorded["muscles"])]
    warnings += [
        f"A conclusion is about an area that is not in the drawing any more: {one['where']}."
        for one in recorded["conclusions"]
        if one["is_gone"]
    ]
    warnings += _out_of_date(recorded)
    if not recorded["plan"]:
        warnings.append("The plan is empty.")
    warnings += [*_not_agreed(recorded), *_not_followed_up(recorded["reactions"])]
    return Gaps(tuple(stops), tuple(warnings))


def _is_empty(recorded: dict[str, Any], section: str) -> bool:
    """No sentence of it is left in the note, and nothing is written beside."""
    (found,) = (one for one in recorded["soap"]["sections"] if one["id"] == section)
    return not found["own"] and not any(part["is_printed"] for part in found["parts"])


def _out_of_date(recorded: dict[str, Any]) -> list[str]:
    """Sentences that were changed when the record said something else."""
    every = (
        one for found in recorded["soap"]["sections"] for part in found["parts"] for one in part["sentences"]
    )
    return [
        f"You changed a sentence, and the record says something else now: {_brief(one['words'])}"
        for one in every
        if one["is_old"] or one["is_gone"]
    ]


def _brief(words: str) -> str:
    return words if len(words) <= LONGEST_BRIEF else f"{words[:LONGEST_BRIEF].rstrip()} ..."


def _not_agreed(recorded: dict[str, Any]) -> list[str]:
    """No consent of today, nor one of before that was confirmed today; or one that was taken back."""
    held = [*recorded["consents"], *recorded["consents_confirmed"]]
    gone = [one["title"] for one in (*held, *recorded["consents_taken_back"]) if one["withdrawn"]]
    found = [f"Consent was taken back: {title}." for title in dict.fromkeys(gone)]
    return found if held else ["No consent is recorded for this visit.", *found]


def _not_followed_up(reactions: list[dict[str, Any]]) -> list[str]:
    """Reactions to treatment that somebody is still to look at."""
    left = [one for one in reactions if one["is_open"]]
    return [
        f"A reaction is still to be followed up{f' on {due}' if (due := one['due']) else ''}: "
        f"{one['what'].lower()}, {one['when']}."
        for one in left
    ]


def _not_asked(recorded: dict[str, Any]) -> list[str]:
    """What nobody asked, or nobody read."""
    story, to_ask = recorded["story"], recorded["danger"]["to_ask"]
    found = []
    if to_ask:
        named = ", ".join(f"{one['title']} ({len(one['labels'])})" for one in to_ask)
        found.append(f"Drawing or answers call for questions that are not answered: {named}.")
    if any(not telling["is_read"] for telling in story["told"]):
        found.append("What the patient told on the device is not read to the end.")
    if not (story["complaint"] or story["history"] or story["groups"]):
        found.append("The story is empty.")
    return found


def _not_felt(muscles: dict[str, Any]) -> list[str]:
    """What the hand left open."""
    found = []
    if muscles["not_examined"]:
        found.append(f"On the list of muscles and not examined: {'; '.join(muscles['not_examined'])}.")
    if muscles["incomplete"]:
        found.append(f"Muscles are examined in part only: {'; '.join(muscles['incomplete'])}.")
    return found


def signed_note_of(visit: Visit) -> SignedNote | None:
    return SignedNote.objects.select_related("visit__patient__practice").filter(visit=visit).first()


def signature_of(note: SignedNote) -> Signature:
    return Signature(
        name=note.signer_name,
        title=note.signer_title,
        registration=note.signer_registration,
        meaning=note.meaning,
        at=note.signed_at,
        time_zone=note.time_zone,
    )


def cosignature_of(note: SignedNote) -> Signature | None:
    """The signature of who answers for a trainee, once it is there."""
    row = CoSignature.objects.filter(note=note).first()
    return as_cosigned(row, note) if row else None


def as_cosigned(row: CoSignature, note: SignedNote) -> Signature:
    return Signature(
        name=row.signer_name,
        title=row.signer_title,
        registration=row.signer_registration,
        meaning=row.meaning,
        at=row.signed_at,
        time_zone=note.time_zone,
        words=row.words,
    )


def addenda_of(note: SignedNote) -> tuple[Added, ...]:
    """What was written afterwards, in order, as it is shown and printed."""
    rows = note.addenda.select_related("request").prefetch_related("request__steps")
    return tuple(as_added(row, note) for row in rows)


def as_added(row: Addendum, note: SignedNote) -> Added:
    is_new = row.kind == Addendum.Kind.ADDENDUM and row.about_on is not None
    return Added(
        number=row.number,
        author=row.author_name,
        title=row.author_title,
        when=moment(row.written_at, note.time_zone),
        text=row.text,
        kind=row.kind,
        label=str(Addendum.Kind(row.kind).label),
        day=day(service_day(note)) if row.about_on else "",
        of_day=day(row.about_on) if is_new and row.about_on else "",
        wrong=row.wrong,
        asked=_asked(row.request) if row.request else "",
    )


def service_day(note: SignedNote) -> date:
    """The day of the visit, by the clock that the note was signed by."""
    return note.visit.started_at.astimezone(ZoneInfo(note.time_zone)).date()


def _asked(request: AmendmentRequest) -> str:
    accepted = [step for step in request.steps.all() if step.what == AmendmentStep.What.ACCEPTED]
    on = f", accepted on {day(accepted[0].done_on)}" if accepted else ""
    return f"{request.asked_by} on {day(request.received_on)}{on}"


def paper_of(
    note: SignedNote, *, paper: str, addenda: int | None = None, cosigned: bool | None = None
) -> SignedPaper:
    """The stored bytes: the newest, or with the first `addenda` of what was written afterwards (0: as it was
    signed), or without the co-signature (`cosigned` False). Raises Http404 when there is no such paper.
    """
    papers = note.papers.filter(paper=paper).order_by("-addenda", "-cosigned")
    if addenda is not None:
        papers = papers.filter(addenda=addenda)
    if cosigned is not None:
        papers = papers.filter(cosigned=cosigned)
    return get_object_or_404(papers[:1])
