"""Everything that the note of a visit shows, as plain data: for page, paper and signed record alike."""

import hashlib
import json
from dataclasses import asdict
from typing import Any

from bodymaps import describe, marks, parts, surface
from charting.assessment.queries import rows_of
from charting.candidates.extents import extent_of
from charting.candidates.queries import Ranked, ranked
from charting.drawing import papers, picture, sources, strikes
from charting.drawing.areas import ToldArea, facts
from charting.drawing.models import DrawnBy
from charting.examination.measured import range_rows
from charting.handover.queries import helpers_of
from charting.report import told, versions
from charting.report.agreed import agreed
from charting.report.by_hand import muscles
from charting.report.coded import coded
from charting.report.concluded import concluded, named_in
from charting.report.course import compared, episode
from charting.report.danger import danger
from charting.report.examined import screened
from charting.report.insured import insured
from charting.report.joints import tested
from charting.report.papers import day, moment
from charting.report.ranked import candidates
from charting.report.scored import scored
from charting.report.soap import SECTIONS, Written, by_problem
from charting.report.sources import Sources
from charting.report.treated import programme, reactions, treated
from charting.screening.queries import found_in
from charting.staff.models import Practice, User
from charting.visits.models import Visit

# The shape of this data: raised when a key changes its meaning, so that old notes can still be told apart.
FORMAT = "visit-note-7"
CAUTION = (
    "Tautline suggests what to examine. It does not diagnose. "
    "The clinician decides, within local rules and licensed practice."
)


def assemble(
    visit: Visit, *, assessment: str = "", plan: str = "", written: Written | None = None
) -> dict[str, Any]:
    """Read the whole visit into plain data: strings, whole numbers, lists and dicts only.

    `written`: what the clinician made of the sentences, with the own words of all four headings; without it
    there are those of assessment and plan alone. The same visit gives equal data at any time; nothing in it
    tells when it was read. Costs one painting and one ranking of each area, some tens of milliseconds each.
    """
    practice = visit.patient.practice
    found, cited = ranked(visit), Sources()
    recorded, case = found_in(visit), found.facts.case
    rows, consents = rows_of(visit), agreed(visit)
    written = written or Written({"assessment": assessment, "plan": plan})
    whole = {
        "format": FORMAT,
        "practice": _practice(practice),
        "patient": _patient(visit),
        "visit": _visit(visit, practice),
        "episode": episode(visit),
        "story": told.story(visit),
        "standing": told.standing_facts(visit),
        "danger": danger(visit, found, cited),
        "drawing": _drawing(visit, found),
        "compared": compared(visit, cited),
        "candidates": candidates(found, cited, named_in(rows)),
        "screening": screened(recorded, case, cited),
        "muscles": muscles(visit, found.atlas, cited),
        "ranges": [asdict(row) for row in range_rows(visit)],
        "joint_tests": tested(recorded, case, cited),
        "conclusions": concluded(rows, found.areas),
        "scores": scored(visit, _parts(found), cited),
        **{name: written.own.get(name, "").strip() for name in SECTIONS},
        "treatment": treated(visit, found.atlas),
        "programme": programme(visit),
        "reactions": reactions(visit),
        "insurance": insured(visit),
        "codes": coded(visit),
        "consents": consents["signed"],
        "consents_confirmed": consents["confirmed"],
        "consents_taken_back": consents["taken_back"],
        "sources": cited.listed(),
        "versions": versions.of(found),
        "caution": CAUTION,
    }
    whole["soap"] = by_problem(whole, written)
    # Through JSON and back: what is shown now is what a stored note will show.
    return dict(json.loads(canonical(whole)))


def canonical(content: dict[str, Any]) -> bytes:
    """The one way to write the content down: sorted keys, UTF-8, no spaces."""
    return json.dumps(content, sort_keys=True, ensure_ascii=False, separators=(",", ":")).encode()


def fingerprint(content: dict[str, Any]) -> str:
    """SHA-256 of the canonical form, in hex."""
    return hashlib.sha256(canonical(content)).hexdigest()


def _practice(practice: Practice) -> dict[str, str]:
    names = ("name", "street", "town", "phone", "email", "registration", "time_zone")
    return {name: getattr(practice, name) for name in names}


def _patient(visit: Visit) -> dict[str, Any]:
    patient = visit.patient
    held_on = visit.started_at.astimezone(patient.practice.zone).date()
    return {
        "name": patient.name,
        "born": day(patient.birth_date),
        "birth_date": patient.birth_date.isoformat(),
        "age": patient.age_on(held_on),
        "record_number": patient.record_number,
    }


def _visit(visit: Visit, practice: Practice) -> dict[str, Any]:
    started = visit.started_at.astimezone(practice.zone)
    return {
        "id": str(visit.pk),
        "started_at": visit.started_at.isoformat(),
        "day": day(started),
        "when": moment(visit.started_at, practice.time_zone),
        "clinician": _person(visit.clinician),
    }


def _person(user: User) -> dict[str, str]:
    return {"name": str(user), "title": user.title, "registration": user.registration}


def _drawing(visit: Visit, found: Ranked) -> dict[str, Any]:
    drawing, told = found.drawing, found.told
    extent = extent_of(visit, found.marks)
    views = picture.views_of(found.marks, box=_box(found), areas=found.areas, spots=told.spots)
    return {
        "no_pain": drawing.no_pain,
        "is_empty": not found.marks and not told.spots,
        "drawn_by": [DrawnBy(who).label.lower() for who in drawing.drawn_by],
        "papers": list(papers.drawn_on_paper(drawing.sheets)),
        "strokes": len(drawing.strokes),
        "views": [asdict(view) for view in views],
        "key": [asdict(kind) for kind in picture.key_of(found.marks, told.strengths)],
        "has_spot": bool(told.spots),
        "areas": [_area(area, found) for area in found.areas],
        "layers": _layers(visit, found),
        "cleared": describe.cleared(told.cleared),
        "surface_percent": f"{surface.share(found.marks):.1f}" if marks.symptoms(found.marks) else "",
        "extent": asdict(extent) if extent else None,
        "traces": strikes.as_data(visit, drawing.strikes),
    }


def _box(found: Ranked) -> str:
    """The whole figure, or head to fingertips when nothing is drawn further down."""
    lowest_spot = max((spot.y for spot in found.told.spots), default=0.0)
    upper = picture.box_for(mark.area for mark in found.marks)
    return picture.WHOLE if lowest_spot > picture.UPPER_ENDS else upper


def _parts(found: Ranked) -> frozenset[str]:
    """Where the pain is drawn, without side: published changes of a score are chosen by it."""
    return frozenset(key.split()[0] for key in parts.parts_drawn(found.drawing.marks))


def _area(area: ToldArea, found: Ranked) -> dict[str, Any]:
    """One symptom area: a sentence, what was said beside it in words, and the answers as they were given."""
    return {
        "number": area.number,
        "words": area.words,
        # The same where the number stands beside it.
        "short": area.words.removeprefix(f"Area {area.number}, "),
        "facts": list(facts(area, len(found.areas))),
        "answers": {**area.answers.as_json(), "link_to": area.linked},
        "strokes": list(area.strokes),
    }


def _layers(visit: Visit, found: Ranked) -> list[dict[str, Any]]:
    """Who drew what: the patient, somebody for the patient, the clinician on examination."""
    layers = [asdict(layer) for layer in sources.layers_of(visit, found.kept, found.told)]
    for layer in layers:
        layer["helpers"] = list(helpers_of(visit)) if layer["id"] == DrawnBy.HELPER else []
    return layers
