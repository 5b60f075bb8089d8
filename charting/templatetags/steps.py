"""{% visit_steps visit %}: the rail beside every page of a visit; {% visit_overview visit %}: in full.

Tags, for they look at every noun of the chart, and the pages they stand on belong to single ones.
"""

from dataclasses import dataclass
from typing import Any

from django import template

from charting.drawing.queries import state_of_drawing
from charting.flags.queries import FlagState, state_of
from charting.handover.pages import states_of
from charting.handover.queries import helpers_of
from charting.notes.queries import Glance, glance_at
from charting.visits.models import Visit

register = template.Library()
DANGER_FIRST = "to be answered before any ranking"


@dataclass(frozen=True)
class Step:
    """One step of a visit. `done` is what it holds in a word or two, "" while it is empty; `is_open`: these
    words name work that waits.
    """

    url: str
    label: str
    done: str
    missing: str
    is_urgent: bool = False
    is_open: bool = False


def steps_of(visit: Visit, danger: FlagState | None = None) -> tuple[Step, ...]:
    """The steps in clinical order. Two queries, two more where strokes were taken back; ten to find the
    signs of danger, from answers, findings and drawing, where the page has not found them already.
    """
    state = danger or state_of(visit)
    complete = state.is_screened
    glance = glance_at(visit)
    return (
        Step("story", "Story", "written" if glance.has_story else "", "not written yet"),
        Step("outcomes", "Scores", "recorded" if glance.has_scores else "", "none recorded yet"),
        Step("danger-screen", "Danger screen", "answered" if complete else "", DANGER_FIRST),
        Step("drawing-step", "Drawing", state_of_drawing(visit), "nothing drawn yet"),
        Step(
            "flags", "Danger signs", _flags(visit, state), DANGER_FIRST, state.holds_back, bool(state.to_ask)
        ),
        Step("candidates", "What to examine", "", _ranking(visit, state)),
        Step("neuro-screen", "Neuro screen", "recorded" if glance.has_findings else "", "not recorded yet"),
        Step("muscles", "Muscles", "examined" if glance.has_muscles else "", "none examined yet"),
        Step("joints", "Joints and range", "recorded" if glance.has_joints else "", "not recorded yet"),
        Step("assessment", "Assessment", "begun" if glance.has_conclusions else "", "nothing concluded yet"),
        Step("codes", "Codes", _counted(glance.code_count, "chosen"), "none chosen yet"),
        Step("consents", "Consent", _consents(glance), "none signed yet"),
        Step("treatment", "Treatment", *_treatment(glance), is_open=glance.has_needles_to_count),
        Step("note", "Note", _note(visit, glance.has_words), "nothing written yet"),
    )


@register.inclusion_tag("visits/_steps.html", takes_context=True)
def visit_steps(context: dict[str, Any], visit: Visit) -> dict[str, Any]:
    match = context["request"].resolver_match
    here = ALIASES.get(match.url_name, match.url_name) if match else ""
    return {"steps": steps_of(visit, context.get("danger")), "visit": visit, "here": here}


@register.simple_tag
def helpers(visit: Visit) -> tuple[str, ...]:
    """{% helpers visit as named %}: who drew for the patient."""
    return helpers_of(visit)


@register.inclusion_tag("handover/_state.html")
def hand_over_state(visit: Visit) -> dict[str, Any]:
    """{% hand_over_state visit %}: where the device is that was given away, and what it still holds."""
    return {"states": states_of(visit)}


@register.inclusion_tag("visits/_overview.html")
def visit_overview(visit: Visit) -> dict[str, Any]:
    return {"steps": steps_of(visit), "visit": visit}


# Pages that belong to a step under another address.
ALIASES = {
    "note-sign": "note",
    "note-addendum": "note",
    "consent-sign": "consents",
    "flag-answers": "flags",
    "flag-decide": "flags",
    "follow-up": "flags",
    "treatment-add": "treatment",
    "treatment-change": "treatment",
    "treatment-repeat": "treatment",
    "drawing": "drawing-step",
    "drawing-sheets": "drawing-step",
    "drawing-move": "drawing-step",
    "drawing-struck": "drawing-step",
    "vitals": "neuro-screen",
    "home-programme": "treatment",
    "codes-choose": "codes",
}


def _flags(visit: Visit, state: FlagState) -> str:
    """What comes first of it: to decide, to ask, decided, to watch; "none raised" when all is asked."""
    decided = sum(each.must_decide for each in state.standing)
    counted = (
        (len(state.open_flags), "not decided" if visit.is_signed else "to decide"),
        (sum(len(each.items) for each in state.to_ask) if state.is_screened else 0, "to ask"),
        (decided, "decided"),
        (len(state.flags), "to watch"),
    )
    first = next((f"{count} {words}" for count, words in counted if count), "")
    return first or ("none raised" if state.is_screened else "")


def _ranking(visit: Visit, state: FlagState) -> str:
    if visit.is_signed:
        return "as signed, in the note"
    if not state.is_screened:
        return "after the danger screen"
    return "after a decision" if state.holds_back else "ready"


def _consents(glance: Glance) -> str:
    counted = ((glance.consent_count, "signed"), (glance.confirmed_count, "confirmed"))
    return ", ".join(f"{count} {words}" for count, words in counted if count)


def _treatment(glance: Glance) -> tuple[str, str]:
    if glance.has_needles_to_count:
        return "needles to count", ""
    count = glance.entry_count
    return f"{count} entr{'y' if count == 1 else 'ies'}" if count else "", "none recorded yet"


def _counted(count: int, words: str) -> str:
    return f"{count} {words}" if count else ""


def _note(visit: Visit, has_words: bool) -> str:
    if visit.is_signed:
        return "signed"
    return "begun" if has_words else ""
