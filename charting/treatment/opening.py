"""Reads a visit for the page of treatment, and opens the form that was asked for or refused."""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from functools import cached_property

from django.http import QueryDict

from bodymaps.atlas import Atlas
from charting.atlas.queries import atlas_of
from charting.drafts.models import Draft
from charting.drafts.queries import as_form_data, draft_of, drafts_under
from charting.examination.models import MuscleFinding
from charting.examination.queries import muscles_of
from charting.flags.queries import state_of
from charting.staff.models import User
from charting.treatment import done, forms, gates, incidents, services, techniques, where
from charting.treatment.allowed import NotAllowed, held_back
from charting.treatment.cards import found_words
from charting.treatment.carried import begun
from charting.treatment.done import WrongEntry
from charting.treatment.forms import Typed
from charting.treatment.gate_pages import GatesPanel, panel
from charting.treatment.gates import Grounds, grounds_of
from charting.treatment.models import TreatmentEntry
from charting.treatment.opened import OpenForm, clash_of
from charting.treatment.pages import TreatmentPage, treatment_page
from charting.treatment.queries import entries_of, last_entries, used_before
from charting.treatment.where import Where
from charting.visits.models import Visit


@dataclass(frozen=True)
class Looked:
    """A visit as somebody looks at it; each read is made once."""

    user: User
    visit: Visit

    @cached_property
    def known(self) -> Atlas:
        return atlas_of(self.user)

    @cached_property
    def entries(self) -> tuple[TreatmentEntry, ...]:
        return entries_of(self.visit)

    @cached_property
    def felt(self) -> tuple[MuscleFinding, ...]:
        return muscles_of(self.visit)

    @cached_property
    def grounds(self) -> Grounds:
        return grounds_of(self.visit)


def asked_for(looked: Looked, sent: QueryDict) -> OpenForm | None:
    """The form that the address names: ?place=...&technique=...&like=ID for a new entry, ?entry=ID to change
    one. None when it names none, or one that there is not.
    """
    if "entry" in sent:
        row = next((row for row in looked.entries if str(row.pk) == sent["entry"]), None)
        return _to_change(looked, row) if row else None
    at, technique = where.parse(sent.get("place", "")), techniques.load().get(sent.get("technique", ""))
    if technique is None or at.kind not in technique.on or where.wrong(at, looked.known):
        return None
    return _new(looked, technique.id, at, sent.get("like", ""))


def refused(
    looked: Looked, typed: Typed, problem: Exception, entry: TreatmentEntry | None
) -> OpenForm | None:
    """The form as it was typed, with what to mend; None where no form could show it."""
    technique = techniques.load().get(typed.technique)
    at_wrong = where.wrong(typed.at.spot, looked.known)
    if technique is None or at_wrong or typed.at.kind not in technique.on:
        return None
    again = replace(typed, wrong=problem.wrong if isinstance(problem, WrongEntry) else {})
    if entry is None:
        return _filled(looked, again)
    held = problem.held if isinstance(problem, NotAllowed) else ()
    return replace(_changing(looked, entry, again), held=held)


def clashing(looked: Looked, entry: TreatmentEntry, typed: Typed) -> OpenForm:
    """Both are shown; saving again is on top of what is on record now."""
    now = forms.of_done(done.of(entry), version=entry.version)
    form = _changing(looked, entry, replace(typed, version=entry.version))
    return replace(form, clash=clash_of(now, typed))


def page_of(
    looked: Looked, form: OpenForm | None, *, at: Where | None, sought: str, ticked: Iterable[int]
) -> TreatmentPage:
    """The page around the form. A fixed number of queries."""
    return treatment_page(
        looked.visit,
        looked.known,
        found=looked.felt,
        entries=looked.entries,
        last=last_entries(looked.visit),
        drafts=drafts_under(looked.user, services.drafts_of_visit(looked.visit)),
        danger=looked.grounds.danger if form and form.panel else state_of(looked.visit),
        form=form,
        at=at,
        sought=sought,
        ticked=ticked,
        lung=_lung(looked),
        differ=_differ(looked),
    )


def _lung(looked: Looked) -> str:
    """Of the advice about late symptoms: "needed", "given" or "" where no needle came near the lung."""
    if not gates.over_lung_in(looked.entries):
        return ""
    return "given" if gates.late_advice_of(looked.visit) else "needed"


def _differ(looked: Looked) -> str:
    """Of needles that differ: "open" until an incident tells of just these counts, then "recorded"."""
    shown = incidents.shown_in(looked.entries, looked.known)
    if not shown:
        return ""
    return "open" if incidents.open_in(shown, incidents.incidents_of(looked.visit)) else "recorded"


def _new(looked: Looked, technique: str, at: Where, like: str) -> OpenForm:
    draft = draft_of(looked.user, services.new_draft_key(looked.visit, technique, at))
    if draft:
        typed = forms.read(as_form_data(draft))
        return _filled(looked, replace(typed, after=None), draft=draft)
    used = used_before(looked.visit, technique)
    source = next((row for row in used if str(row.pk) == like), None)
    found = begun(technique, at, used, looked.felt, source)
    return _filled(looked, forms.of_done(found.said), carried=found.of)


def _to_change(looked: Looked, row: TreatmentEntry) -> OpenForm:
    draft = draft_of(looked.user, services.draft_key(row))
    typed = forms.read(as_form_data(draft)) if draft else forms.of_done(done.of(row), version=row.version)
    return _changing(looked, row, typed, draft=draft)


def _changing(looked: Looked, row: TreatmentEntry, typed: Typed, *, draft: Draft | None = None) -> OpenForm:
    """Where it was done stays; what it was allowed by was asked when it was entered."""
    return OpenForm(
        visit=looked.visit,
        typed=typed,
        known=looked.known,
        needs_way=services.needs_way(row.technique, typed.at),
        draft_key=services.draft_key(row),
        entry=row,
        draft=draft,
        hints=tuple(found_words(looked.felt, typed.at.spot)),
    )


def _filled(
    looked: Looked, typed: Typed, *, carried: TreatmentEntry | None = None, draft: Draft | None = None
) -> OpenForm:
    technique = techniques.load().get(typed.technique)
    assert technique  # noqa: S101 - who calls has looked
    shown = _panel(looked, typed) if technique.needle else None
    newest = max((row.pk for row in looked.entries), default=0)
    return OpenForm(
        visit=looked.visit,
        typed=replace(typed, after=newest if typed.after is None else typed.after),
        known=looked.known,
        needs_way=services.needs_way(typed.technique, typed.at),
        draft_key=services.new_draft_key(looked.visit, typed.technique, typed.at),
        held=shown.found.held if shown else held_back(looked.visit, technique, typed.at),
        panel=shown,
        carried=carried,
        draft=draft,
        hints=tuple(found_words(looked.felt, typed.at.spot)),
    )


def _panel(looked: Looked, typed: Typed) -> GatesPanel:
    """Every gate of the muscle, with the depth as far as it was typed."""
    depth = typed.said.needles.get(done.DEPTH)
    deep = float(depth) if isinstance(depth, int) else None
    return panel(looked.visit, looked.user, typed.at, depth_mm=deep, grounds=looked.grounds)


Refusal = (WrongEntry, NotAllowed, gates.GateHolds, services.ListFull)
