"""Turns what browsers send into clean values: requests of a board, and what is asked about a paper."""

import json
import uuid
from dataclasses import dataclass
from typing import Any

from django import forms
from django.core.exceptions import RequestDataTooBig, ValidationError
from django.http import Http404, HttpRequest
from django.urls import reverse
from django.utils import timezone

from bodymaps.strokes import LIMITS
from charting.drawing.device import holder_of_staff
from charting.drawing.models import DrawnBy, PaperSheet
from charting.drawing.queries import sheet_of
from charting.drawing.sittings import Sitting
from charting.patients.dates import WrongPart, past_day
from charting.patients.forms import DayField
from charting.staff.requests import staff
from charting.visits.models import Visit

# The board sends far less at a time; the number is that of DATA_UPLOAD_MAX_MEMORY_SIZE.
TOO_LARGE = f"Nothing of this was saved: a request holds at most {LIMITS.bytes_per_request // 1024} KB."

MAX_WAITING = 1_000_000
# The addresses of a board on the staff's own device, as charting.drawing.sittings lists them.
STAFF_ADDRESSES = {
    "board": "drawing",
    "save": "drawing-save",
    "rest": "drawing-save",
    "words": "drawing-words",
    "key": "drawing-key",
    "areas": "drawing-areas",
}


class UnreadableRequest(Exception):
    """The body is not what a board sends; the text says what to mend, `status` says it to machines."""

    def __init__(self, why: str, *, status: int = 400) -> None:
        super().__init__(why)
        self.status = status


@dataclass(frozen=True)
class Sent:
    """One request of a board: events, and how many the device held that were not acknowledged yet."""

    events: list[Any]
    waiting: int


def read_sent(request: HttpRequest) -> Sent:
    """Raises UnreadableRequest."""
    try:
        body = json.loads(request.body, parse_constant=_no_constant)
    except RequestDataTooBig as problem:
        raise UnreadableRequest(TOO_LARGE, status=413) from problem
    except (ValueError, RecursionError) as problem:
        raise UnreadableRequest(f"The drawing could not be read: {problem}") from problem
    sent = body.get("events") if isinstance(body, dict) else None
    if not isinstance(sent, list):
        raise UnreadableRequest('The drawing must be sent as {"events": [...]}.')
    waiting = body.get("waiting", len(sent))
    if isinstance(waiting, bool) or not isinstance(waiting, int) or not 0 <= waiting <= MAX_WAITING:
        raise UnreadableRequest("waiting must say how many entries the device still holds.")
    return Sent(sent, waiting)


def _no_constant(name: str) -> None:
    # JSON has no NaN and no Infinity, though Python's reader takes them.
    raise ValueError(f"{name} is not a number of a drawing")


def sitting_of(request: HttpRequest, visit: Visit) -> Sitting:
    """Which of their boards somebody on the staff has opened, from the address.

    ?sheet=<id> copies a drawing from paper, ?layer=helper draws what the patient shows; without either it is
    the clinician's own layer of findings. Raises Http404 for any other.
    """
    query = request.GET
    sheet = sheet_of(visit, query["sheet"]) if "sheet" in query else None
    layer = sheet.drawn_by if sheet else query.get("layer", DrawnBy.CLINICIAN)
    if layer not in (DrawnBy.CLINICIAN, DrawnBy.HELPER) and not sheet:
        raise Http404("There is no such layer to draw on.")
    wanted = f"?{query.urlencode()}" if query else ""
    urls = {name: reverse(address, args=[visit.pk]) + wanted for name, address in STAFF_ADDRESSES.items()}
    user = staff(request)
    return Sitting(
        layer=DrawnBy(layer),
        by_patient=False,
        holder=holder_of_staff(user.pk, visit.pk, layer, sheet.pk if sheet else None),
        urls={**urls, "done": reverse("drawing-step", args=[visit.pk])},
        sheet=sheet,
        helper=sheet.helper if sheet else "",
    )


LONGEST_HELPER = PaperSheet._meta.get_field("helper").max_length


class SheetForm(forms.Form):
    """Who drew on the paper, and when. `id` is made with the page, so that a double tap makes one sheet."""

    id = forms.UUIDField(widget=forms.HiddenInput)
    drawn_by = forms.ChoiceField(
        label="Who drew on the paper?",
        choices=[(DrawnBy.PATIENT, "The patient"), (DrawnBy.HELPER, "Somebody who helped the patient")],
        widget=forms.RadioSelect,
        error_messages={"required": "Choose who drew."},
    )
    helper = forms.CharField(
        label="Who helped? For instance daughter, interpreter",
        max_length=LONGEST_HELPER,
        required=False,
        widget=forms.TextInput(attrs={"autocomplete": "off"}),
    )
    drawn_on = DayField(label="The day on the paper")

    def __init__(self, *args: Any, visit: Visit, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.visit = visit

    @staticmethod
    def usual(visit: Visit) -> dict[str, Any]:
        """What is so most often: the patient drew, on the day of the visit."""
        day = visit.started_at.astimezone(visit.patient.practice.zone).date()
        return {"id": uuid.uuid4(), "drawn_by": DrawnBy.PATIENT, "drawn_on": day}

    def clean_drawn_on(self) -> Any:
        patient = self.visit.patient
        try:
            return past_day(
                *self.cleaned_data["drawn_on"],
                earliest=patient.birth_date,
                today=timezone.localdate(timezone=patient.practice.zone),
                before="The day must not be before the date of birth.",
            )
        except WrongPart as problem:
            self.fields["drawn_on"].widget.wrong = problem.part
            raise ValidationError(str(problem), code=problem.part) from problem

    def clean(self) -> dict[str, Any]:
        found = {**(super().clean() or {})}
        if found.get("drawn_by") != DrawnBy.HELPER:
            found["helper"] = ""
        elif not found.get("helper", "").strip():
            self.add_error("helper", "Say who helped: it stands beside the drawing.")
        return found
