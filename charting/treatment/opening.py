"""Reads a visit for the page of treatment, and opens the form that was asked for or refused."""

from collections.abc import Iterable, Sequence
from dataclasses import replace

from django.http import QueryDict

from bodymaps.atlas import Atlas
from charting.atlas.queries import atlas_of
from charting.drafts.models import Draft
from charting.drafts.queries import as_form_data, draft_of, drafts_under
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


def asked_for(user: User, visit: Visit, sent: QueryDict) -> OpenForm | None:
    """The form that the address names: ?place=...&technique=...&like=ID for a new entry, ?entry=ID to change
    one. None when it names none, or one that there is not.
    """
    rows = entries_of(visit)
    if "entry" in sent:
        row = next((row for row in rows if str(row.pk) == sent["entry"]), None)
        return _to_change(user, visit, row) if row else None
    at, technique = where.parse(sent.get("place", "")), techniques.load().get(sent.get("technique", ""))
    if technique is None or at.kind not in technique.on or where.wrong(at, atlas_of(user)):
        return None
    return _new(user, visit, technique.id, at, sent.get("like", ""))


def refused(
    user: User, visit: Visit, typed: Typed, problem: Exception, entry: TreatmentEntry | None
) -> OpenForm | None:
    """The form as it was typed, with what to mend; None where no form could show it."""
    technique = techniques.load().get(typed.technique)
    at_wrong = where.wrong(typed.at.spot, atlas_of(user))
    if technique is None or at_wrong or typed.at.kind not in technique.on:
        return None
    wrong = problem.wrong if isinstance(problem, WrongEntry) else {}
    again = replace(typed, wrong=wrong)
    if entry is None:
        return _filled(user, visit, again)
    return _changing(user, visit, entry, again)


def clashing(user: User, visit: Visit, entry: TreatmentEntry, typed: Typed) -> OpenForm:
    """Both are shown; saving again is on top of what is on record now."""
    now = forms.of_done(done.of(entry), version=entry.version)
    form = _changing(user, visit, entry, replace(typed, version=entry.version))
    return replace(form, clash=clash_of(now, typed))


def page_of(
    user: User,
    visit: Visit,
    form: OpenForm | None,
    *,
    at: Where | None,
    sought: str,
    ticked: Iterable[int],
) -> TreatmentPage:
    """The page around the form. A fixed number of queries."""
    entries = entries_of(visit)
    return treatment_page(
        visit,
        atlas_of(user),
        found=muscles_of(visit),
        entries=entries,
        last=last_entries(visit),
        drafts=drafts_under(user, services.drafts_of_visit(visit)),
        danger=form.grounds.danger if form and form.grounds else state_of(visit),
        form=form,
        at=at,
        sought=sought,
        ticked=ticked,
        lung=_lung(visit, entries),
        differ=_differ(visit, entries, atlas_of(user)),
    )


def _lung(visit: Visit, entries: Sequence[TreatmentEntry]) -> str:
    """Of the advice about late symptoms: "needed", "given" or "" where no needle came near the lung."""
    if not gates.over_lung_in(entries):
        return ""
    return "given" if gates.late_advice_of(visit) else "needed"


def _differ(visit: Visit, entries: Sequence[TreatmentEntry], known: Atlas) -> str:
    """Of needles that differ: "open" until an incident tells of just these counts, then "recorded"."""
    shown = incidents.shown_in(entries, known)
    if not shown:
        return ""
    return "open" if incidents.open_in(shown, incidents.incidents_of(visit)) else "recorded"


def _new(user: User, visit: Visit, technique: str, at: Where, like: str) -> OpenForm:
    draft = draft_of(user, services.new_draft_key(visit, technique, at))
    if draft:
        typed = forms.read(as_form_data(draft))
        return _filled(user, visit, replace(typed, after=None), draft=draft)
    used, felt = used_before(visit, technique), muscles_of(visit)
    source = next((row for row in used if str(row.pk) == like), None)
    found = begun(visit, technique, at, used, felt, source)
    return _filled(user, visit, forms.of_done(found.said), carried=found.of)


def _to_change(user: User, visit: Visit, row: TreatmentEntry) -> OpenForm:
    draft = draft_of(user, services.draft_key(row))
    typed = forms.read(as_form_data(draft)) if draft else forms.of_done(done.of(row), version=row.version)
    return _changing(user, visit, row, typed, draft=draft)


def _changing(
    user: User, visit: Visit, row: TreatmentEntry, typed: Typed, *, draft: Draft | None = None
) -> OpenForm:
    """Where it was done stays; what it was allowed by was asked when it was entered."""
    return OpenForm(
        visit=visit,
        typed=typed,
        known=atlas_of(user),
        needs_way=services.needs_way(row.technique, typed.at),
        draft_key=services.draft_key(row),
        entry=row,
        draft=draft,
        hints=tuple(found_words(muscles_of(visit), typed.at.spot)),
    )


def _filled(
    user: User,
    visit: Visit,
    typed: Typed,
    *,
    carried: TreatmentEntry | None = None,
    draft: Draft | None = None,
) -> OpenForm:
    technique = techniques.load().get(typed.technique)
    assert technique  # noqa: S101 - who calls has looked
    grounds = grounds_of(visit) if technique.needle else None
    shown = _panel(user, visit, typed, grounds) if grounds else None
    newest = max((row.pk for row in entries_of(visit)), default=0)
    return OpenForm(
        visit=visit,
        typed=replace(typed, after=newest if typed.after is None else typed.after),
        known=atlas_of(user),
        needs_way=services.needs_way(typed.technique, typed.at),
        draft_key=services.new_draft_key(visit, typed.technique, typed.at),
        held=shown.found.held if shown else held_back(visit, technique, typed.at),
        panel=shown,
        grounds=grounds,
        carried=carried,
        draft=draft,
        hints=tuple(found_words(muscles_of(visit), typed.at.spot)),
    )


def _panel(user: User, visit: Visit, typed: Typed, grounds: Grounds) -> GatesPanel:
    """Every gate of the muscle, with the depth as far as it was typed."""
    depth = typed.said.needles.get(done.DEPTH)
    deep = float(depth) if isinstance(depth, int) else None
    return panel(visit, user, typed.at, depth_mm=deep, grounds=grounds)


Refusal = (WrongEntry, NotAllowed, gates.GateHolds, services.ListFull)
