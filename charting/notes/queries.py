"""Every read of a note."""

from dataclasses import dataclass
from typing import Any

from django.db.models import Count, Exists, OuterRef
from django.shortcuts import get_object_or_404
from django.utils import timezone

from charting.assessment.models import Conclusion
from charting.audit.models import AuditEntry
from charting.examination.queries import has_joints, has_muscles
from charting.history.queries import has_story
from charting.notes.models import Addendum, NoteText, SignedNote, SignedPaper
from charting.outcomes.queries import has_scores
from charting.report.content import assemble
from charting.report.papers import Added, Signature, moment
from charting.screening.queries import has_findings
from charting.staff.models import User
from charting.staff.queries import WRONG_TRIES, WRONG_WITHIN
from charting.treatment.gate_warnings import warnings_of
from charting.treatment.gates import stops_of
from charting.treatment.queries import entries_of, entry_count, has_needles_to_count
from charting.visits.models import Visit

WRONG_PASSWORD = "gave a wrong password at signing"  # noqa: S105 - the name of an audit action


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
        has_words=Exists(NoteText.objects.filter(visit=OuterRef("pk")).exclude(assessment="", plan="")),
        consent_count=Count("consents", distinct=True),
        confirmed_count=Count("consents_confirmed", distinct=True),
    )
    return Glance(**held.get())


def text_of(visit: Visit) -> NoteText:
    """The words as saved; an unsaved row with version 0 when nothing was saved yet."""
    return NoteText.objects.filter(visit=visit).first() or NoteText(visit=visit, version=0)


def recorded_in(visit: Visit) -> dict[str, Any]:
    """The whole visit with the words as saved (report.content.assemble): what a signature would freeze."""
    text = text_of(visit)
    return assemble(visit, assessment=text.assessment, plan=text.plan)


def gaps_of(visit: Visit, recorded: dict[str, Any]) -> Gaps:
    """What is missing in a visit that was assembled, its needles too. Four queries more at most."""
    gaps, entries = gaps_in(recorded), entries_of(visit)
    stops, warnings = stops_of(visit, entries), warnings_of(visit, entries)
    return Gaps((*gaps.stops, *stops), (*gaps.warnings, *warnings))


def gaps_in(recorded: dict[str, Any]) -> Gaps:
    """What is missing in an assembled visit. No query."""
    stops = []
    if not recorded["danger"]["is_complete"]:
        stops.append("The danger screen is not complete.")
    if not (recorded["assessment"] or recorded["conclusions"]):
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
    if not recorded["plan"]:
        warnings.append("The plan is empty.")
    warnings += [*_not_agreed(recorded), *_not_followed_up(recorded["reactions"])]
    return Gaps(tuple(stops), tuple(warnings))


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


def addenda_of(note: SignedNote) -> tuple[Added, ...]:
    """The addenda in order, as they are shown and printed."""
    return tuple(as_added(row, note) for row in note.addenda.all())


def addendum_just_so(note: SignedNote, author: User, text: str) -> Addendum | None:
    """The addendum that a second tap would add again: same person, same words."""
    return note.addenda.filter(author=author, text=text).last()


def as_added(row: Addendum, note: SignedNote) -> Added:
    when = moment(row.written_at, note.time_zone)
    return Added(row.number, row.author_name, row.author_title, when, row.text)


def paper_of(note: SignedNote, *, paper: str, addenda: int | None = None) -> SignedPaper:
    """The stored bytes: with all addenda, or with the first `addenda` of them (0: as it was signed).

    Raises Http404 when there is no such paper.
    """
    papers = note.papers.filter(paper=paper).order_by("-addenda")
    if addenda is None:
        return get_object_or_404(papers[:1])
    return get_object_or_404(papers, addenda=addenda)


def is_locked_out(user: User) -> bool:
    """Too many wrong passwords at signing within a quarter of an hour (both numbers: common practice)."""
    recent = AuditEntry.objects.filter(
        actor_id=user.pk, action=WRONG_PASSWORD, at__gte=timezone.now() - WRONG_WITHIN
    )
    return recent.count() >= WRONG_TRIES
