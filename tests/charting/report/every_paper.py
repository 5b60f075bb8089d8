"""Every kind of paper that the practice prints, each in both sizes: made once for a file of tests."""

from collections.abc import Callable
from typing import Any

from bodymaps import atlas
from charting.consent.queries import standing
from charting.letters import content as letters
from charting.letters.gathered import gather
from charting.letters.models import Letter
from charting.letters.services import begin
from charting.report import pdf
from charting.report.blank import blank_sheet
from charting.report.consent_copy import copy_of
from charting.report.content import assemble
from charting.report.home_sheet import home_sheet
from charting.report.muscle import muscle_sheet
from charting.report.papers import Signature
from charting.staff.models import Paper
from charting.treatment.models import HomeProgramme
from charting.visits.models import Visit
from tests.charting.agreed import an_earlier
from tests.charting.letters import told

SHA256 = "5c" * 32
INK = [[[50, 120], [120, 60], [180, 140]]]
# About no person: they lie in a drawer, or are handed to anybody.
OF_NOBODY = ("blank sheet", "muscle")
Made = dict[tuple[str, str], bytes]


def every_paper(visit: Visit, signed: Signature) -> Made:
    """By (kind, paper)."""
    makers = {**_of_visit(visit, signed), **_letters(visit, signed), **_handed_out(visit)}
    return {(kind, paper): make(paper) for kind, make in makers.items() for paper in Paper.values}


Maker = Callable[[str], bytes]


def _of_visit(visit: Visit, signed: Signature) -> dict[str, Maker]:
    note = assemble(visit, assessment="Tender.", plan="Again in ten days.")
    known, practice = atlas.load(), visit.patient.practice
    muscle = muscle_sheet(practice, known, known.muscles["infraspinatus"], "right")
    drawn_on, empty = blank_sheet(practice, visit), blank_sheet(practice)
    return {
        "visit note": lambda paper: pdf.render(note, paper=paper, signed=signed, sha256=SHA256),
        "drawing sheet": lambda paper: pdf.render_blank(drawn_on, paper=paper),
        "blank sheet": lambda paper: pdf.render_blank(empty, paper=paper),
        "muscle": lambda paper: pdf.render_muscle(muscle, paper=paper),
    }


def _letters(visit: Visit, signed: Signature) -> dict[str, Maker]:
    who, episode = visit.clinician, told.an_episode(visit.patient, visit.clinician)
    told.insure(episode)
    told.code(episode)
    found = gather(who, episode)
    made: dict[str, Any] = {}
    for kind in Letter.Kind:
        said = letters.assemble(found, begin(who=who, episode=episode, kind=kind))
        made[kind.label] = _letter(said, signed)
    return made


def _letter(said: dict[str, Any], signed: Signature) -> Maker:
    return lambda paper: pdf.render_letter(said, paper=paper, signed=signed, sha256=SHA256)


def _handed_out(visit: Visit) -> dict[str, Maker]:
    an_earlier(visit, "dry-needling", ["neck"], signature=INK)
    copy = copy_of(visit.patient, standing(visit.patient)[0])
    HomeProgramme.objects.create(
        visit=visit, items=[{"title": "Arm circles", "how": "Slowly.", "dose": "Twice a day", "stop": "Pain"}]
    )
    home = home_sheet(visit)
    return {
        "consent": lambda paper: pdf.render_consent(copy, paper=paper),
        "home programme": lambda paper: pdf.render_home(home, paper=paper),
    }
