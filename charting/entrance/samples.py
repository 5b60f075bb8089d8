"""Sample data for the page of pieces. Nothing of it is in the database, nothing of a practice is shown."""

import uuid
from dataclasses import dataclass
from datetime import date
from types import SimpleNamespace

from django.utils import timezone

from bodymaps import figure, marks
from bodymaps.strokes import Point, Stroke
from charting.drafts.models import Draft
from charting.drawing import picture
from charting.drawing.picture import KindPicture, ViewPicture
from charting.history import danger_screen
from charting.history.danger_screen import DangerScreen
from charting.history.forms import Asked, DangerForm
from charting.patients.forms import PatientForm
from charting.patients.models import Patient
from charting.screening import forms as screening
from charting.screening import pages as screens
from charting.visits.models import Visit

# "Sample" and a wave, in the box of 600 x 200.
INK = "M60 120L90 60L120 130L160 70L190 130L230 80L270 120L320 90L380 110L520 100"


@dataclass(frozen=True)
class PiecesPage:
    patient: Patient
    visit: Visit
    steps: tuple[SimpleNamespace, ...]
    form: PatientForm
    draft: Draft
    clashes: tuple[tuple[str, str, str], ...]
    asked: Asked
    screen: DangerScreen
    grid: screens.SectionShown
    views: tuple[ViewPicture, ...]
    key: tuple[KindPicture, ...]
    ink: str = INK


def pieces_page() -> PiecesPage:
    patient = Patient(
        given_names="Sample", family_name="Person", birth_date=date(1975, 3, 7), record_number=1042
    )
    drawn = marks.paint(_strokes())
    return PiecesPage(
        patient=patient,
        visit=Visit(patient=patient, started_at=timezone.now()),
        steps=_steps(),
        form=_wrong_form(),
        draft=Draft(key="sample", saved_at=timezone.now()),
        clashes=(("Phone", "000 000 21", "000 000 22"), ("Address", "", "Weir Lane 3")),
        asked=DangerForm(initial={"cord": "unsure"}).asked()[1],
        screen=danger_screen.load(),
        grid=_grid(),
        views=picture.views_of(drawn),
        key=picture.key_of(drawn, {"ache": 6, "tingling": 3}),
    )


def _grid() -> screens.SectionShown:
    """The strength of the arm, of which one test differs between the sides."""
    values = {("strength:C5", "right"): ("4", ""), ("strength:C5", "left"): ("5", "")}
    return screens.section_shown("strength", screening.Typed("neuro", "", values, ("arm",)))


def _steps() -> tuple[SimpleNamespace, ...]:
    """The rail in three states: done, asking for attention, empty."""
    return (
        SimpleNamespace(url="story", label="Story", done="written", missing="", is_urgent=False),
        SimpleNamespace(
            url="danger-screen", label="Danger screen", done="1 alarm", missing="", is_urgent=True
        ),
        SimpleNamespace(url="note", label="Note", done="", missing="nothing written yet", is_urgent=False),
    )


def _wrong_form() -> PatientForm:
    form = PatientForm(
        {
            "given_names": "Sample",
            "birth_date_day": "31",
            "birth_date_month": "Feb",
            "birth_date_year": "1975",
        }
    )
    form.is_valid()
    return form


def _strokes() -> tuple[Stroke, ...]:
    """Two short lines on the right shoulder and thumb, as a finger would draw them."""
    return (
        _stroke(1, "ache", 44.0, ("humeral_head", "deltoid_mid", "deltoid_insertion")),
        _stroke(2, "tingling", 18.0, ("thumb_base", "thumb_mcp", "thumb_tip")),
    )


def _stroke(seq: int, kind: str, nib: float, along: tuple[str, ...]) -> Stroke:
    places = [figure.load().landmark("front", name) for name in along]
    points = tuple(Point(x, y, 0.5, 16.0 * n) for n, (x, y) in enumerate(places))
    return Stroke(str(uuid.UUID(int=seq)), seq, "front", kind, "shade", nib, points)
