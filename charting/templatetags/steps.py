"""{% visit_steps visit %}: the rail beside every page of a visit; {% visit_overview visit %}: in full.

Tags, for they look at every noun of the chart, and the pages they stand on belong to single ones.
"""

from dataclasses import dataclass
from typing import Any

from django import template

from charting.consent.models import Consent
from charting.drawing.queries import state_of_drawing
from charting.history.queries import alarms_among, screen_of, story_of
from charting.notes.models import NoteText
from charting.screening.queries import is_recorded
from charting.visits.models import Visit

register = template.Library()
DANGER_FIRST = "to be answered before any ranking"


@dataclass(frozen=True)
class Step:
    """One step of a visit. `done` is what it holds in a word or two, "" while it is empty."""

    url: str
    label: str
    done: str
    missing: str
    is_urgent: bool = False


def steps_of(visit: Visit) -> tuple[Step, ...]:
    """The steps in clinical order. Eight small queries."""
    screen = screen_of(visit)
    complete = all(each.answer for each in screen)
    raised = len(alarms_among(screen))
    story = story_of(visit)
    return (
        Step("story", "Story", "written" if story.complaint or story.history else "", "not written yet"),
        Step("danger-screen", "Danger screen", _danger(raised, complete), DANGER_FIRST, is_urgent=raised > 0),
        Step("drawing-step", "Drawing", state_of_drawing(visit), "nothing drawn yet"),
        Step("candidates", "What to examine", "", _ranking(visit, complete)),
        Step("neuro-screen", "Neuro screen", "recorded" if is_recorded(visit) else "", "not recorded yet"),
        Step("consents", "Consent", _consents(visit), "none signed yet"),
        Step("note", "Note", _note(visit), "nothing written yet"),
    )


@register.inclusion_tag("visits/_steps.html", takes_context=True)
def visit_steps(context: dict[str, Any], visit: Visit) -> dict[str, Any]:
    match = context["request"].resolver_match
    here = ALIASES.get(match.url_name, match.url_name) if match else ""
    return {"steps": steps_of(visit), "visit": visit, "here": here}


@register.inclusion_tag("visits/_overview.html")
def visit_overview(visit: Visit) -> dict[str, Any]:
    return {"steps": steps_of(visit), "visit": visit}


# Pages that belong to a step under another address.
ALIASES = {
    "note-sign": "note",
    "note-addendum": "note",
    "consent-sign": "consents",
    "drawing": "drawing-step",
}


def _danger(raised: int, complete: bool) -> str:
    if raised:
        return f"{raised} alarm{'s' if raised > 1 else ''}"
    return "no alarms" if complete else ""


def _ranking(visit: Visit, complete: bool) -> str:
    if visit.is_signed:
        return "as signed, in the note"
    return "ready" if complete else "after the danger screen"


def _consents(visit: Visit) -> str:
    count = Consent.objects.filter(visit=visit).count()
    return f"{count} signed" if count else ""


def _note(visit: Visit) -> str:
    if visit.is_signed:
        return "signed"
    written = NoteText.objects.filter(visit=visit).exclude(assessment="", plan="").exists()
    return "begun" if written else ""
