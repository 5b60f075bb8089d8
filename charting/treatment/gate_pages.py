"""What the pages of gates, late advice and needles that differ may use."""

from dataclasses import dataclass

from django.forms import Form
from django.urls import reverse
from django.utils.http import urlencode

from bodymaps.reasoning import needling
from bodymaps.reasoning.needling import Gate
from charting.drafts.forms import typed_into
from charting.drafts.models import Draft
from charting.drafts.queries import draft_of, drafts_under
from charting.staff.models import User
from charting.staff.rights import may
from charting.treatment import gates, incidents, techniques
from charting.treatment.cards import open_url
from charting.treatment.gate_forms import IncidentForm, LateAdviceForm, OverrideForm
from charting.treatment.gate_services import incident_draft, late_advice_draft, override_draft
from charting.treatment.gates import GatesFound, Grounds
from charting.treatment.incidents import Shown
from charting.treatment.models import LateAdvice, NeedleIncident, TreatmentEntry
from charting.treatment.where import Where
from charting.visits.models import Visit
from charting.visits.queries import may_write

# Where what is not asked is asked: by the key of the question, else the story.
ASKED_ON = "story"
SCREEN = "danger-screen"


@dataclass(frozen=True)
class GatesPanel:
    """The gates of one muscle beside the form of an entry. `url`: the page where a stop is gone past."""

    found: GatesFound
    url: str
    may_override: bool

    @property
    def place(self) -> str:
        return self.found.place

    @property
    def can_go_past(self) -> bool:
        return self.may_override and bool(self.found.can_override)


@dataclass(frozen=True)
class StopCard:
    """One stop. `form` only where somebody who may can go past it. `asked_at`: where to mend it, ""."""

    gate: Gate
    form: OverrideForm | None
    draft_key: str
    draft: Draft | None
    asked_at: str

    @property
    def slug(self) -> str:
        return self.gate.id.replace(":", "-")


@dataclass(frozen=True)
class GatesPage:
    """`lost`: a reason that was typed for a stop that holds no more. `back`: the form of the entry."""

    gates: GatesFound
    stops: tuple[StopCard, ...]
    back: str
    lost: str = ""

    @property
    def wrong(self) -> Form | None:
        return next((card.form for card in self.stops if card.form and card.form.errors), None)


@dataclass(frozen=True)
class LateAdvicePage:
    title: str
    source: str
    given: tuple[LateAdvice, ...]
    is_needed: bool
    may_write: bool
    form: LateAdviceForm
    draft_key: str
    draft: Draft | None


@dataclass(frozen=True)
class IncidentPage:
    """`open`: entries whose counts differ and that no incident tells of as they stand now; `shown`: all that
    differ.
    """

    shown: Shown
    open: tuple[str, ...]
    recorded: tuple[NeedleIncident, ...]
    may_write: bool
    form: IncidentForm
    draft_key: str
    draft: Draft | None


def needle_technique() -> str:
    """The technique whose gates are asked for: the first with needles."""
    return next(one.id for one in techniques.load().all if one.needle)


def panel(
    visit: Visit, user: User, at: Where, *, depth_mm: float | None = None, grounds: Grounds | None = None
) -> GatesPanel:
    """What `treatment/_gates.html` needs, before any field of a form."""
    found = gates.gates_for(
        visit,
        technique=needle_technique(),
        muscle=at.muscle,
        side=at.side,
        site=at.site,
        area=at.area,
        depth_mm=depth_mm,
        grounds=grounds,
    )
    return GatesPanel(found, gates_url(visit, at), _may_override(visit, user))


def gates_url(visit: Visit, at: Where) -> str:
    """`area` goes along where only the practice knows it."""
    url = reverse("gates", args=[visit.pk, at.token])
    return f"{url}?{urlencode({'area': at.area})}" if at.area else url


def gates_page(visit: Visit, user: User, at: Where, sent: OverrideForm | None = None) -> GatesPage:
    """`sent`: a form that could not be saved; where its stop holds no more its words stand by themselves."""
    shown = panel(visit, user, at)
    drafts = drafts_under(user, f"gate:{visit.pk}:")
    cards = tuple(_card(visit, gate, shown.may_override, drafts, sent) for gate in shown.found.stops)
    lost = ""
    if sent and not any(card.form is sent for card in cards):
        lost = str(sent["reason"].value() or "")
    return GatesPage(shown.found, cards, open_url(visit, at, needle_technique()), lost)


def _may_override(visit: Visit, user: User) -> bool:
    return may_write(user, visit) and may(user, "override gates")


def late_advice_page(visit: Visit, user: User, sent: LateAdviceForm | None = None) -> LateAdvicePage:
    text = needling.late_advice()
    draft = None if sent else draft_of(user, late_advice_draft(visit))
    given = gates.late_advice_of(visit)
    usual = {"words": text.words, "call": _call(visit, text.call)}
    return LateAdvicePage(
        title=text.title,
        source=f"{text.source} ({text.status})",
        given=given,
        is_needed=bool(gates.over_lung_in(TreatmentEntry.objects.filter(visit=visit))),
        may_write=may_write(user, visit),
        form=sent or LateAdviceForm(initial={**usual, **typed_into(LateAdviceForm(), draft)}),
        draft_key=late_advice_draft(visit),
        draft=draft,
    )


def incident_page(visit: Visit, user: User, sent: IncidentForm | None = None) -> IncidentPage:
    known = gates.atlas_for(visit.patient.practice)
    shown = incidents.shown_in(TreatmentEntry.objects.filter(visit=visit), known)
    recorded = incidents.incidents_of(visit)
    draft = None if sent else draft_of(user, incident_draft(visit))
    fresh = {**typed_into(IncidentForm(), draft), "state": incidents.state_of(shown)}
    return IncidentPage(
        shown=shown,
        open=tuple(incidents.said(one) for one in incidents.open_in(shown, recorded)),
        recorded=recorded,
        may_write=may_write(user, visit),
        form=sent or IncidentForm(initial=fresh),
        draft_key=incident_draft(visit),
        draft=draft,
    )


def _card(
    visit: Visit,
    gate: Gate,
    may_override: bool,
    drafts: dict[str, Draft],
    sent: OverrideForm | None,
) -> StopCard:
    key = override_draft(visit, gate)
    at = reverse(SCREEN if gate.id == "not_screened" else ASKED_ON, args=[visit.pk])
    asked_at = at if gate.kind == needling.ASKED or gate.id == "not_screened" else ""
    if not (may_override and gate.overridable):
        return StopCard(gate, None, key, None, asked_at)
    if sent and sent["gate"].value() == gate.id:
        return StopCard(gate, sent, key, None, asked_at)
    draft = drafts.get(key)
    fresh = {"gate": gate.id, "state": gates.state_of(gate)}
    form = OverrideForm(auto_id=_auto_id(gate), initial={**typed_into(OverrideForm(), draft), **fresh})
    return StopCard(gate, form, key, draft, asked_at)


def override_form(data: dict[str, str]) -> OverrideForm:
    return OverrideForm(data, auto_id=f"id_{data.get('gate', '').replace(':', '-')}_%s")


def _auto_id(gate: Gate) -> str:
    return f"id_{gate.id.replace(':', '-')}_%s"


def _call(visit: Visit, emergency: str) -> str:
    """The emergency number, and the practice where its telephone is known."""
    practice = visit.patient.practice
    return f"{emergency}; {practice.name} {practice.phone}" if practice.phone else emergency
