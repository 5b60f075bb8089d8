"""Everything that the note of a visit shows, as plain data: for page, paper and signed record alike."""

import hashlib
import json
from dataclasses import asdict
from typing import Any

from bodymaps import describe, figure, marks, own, surface
from bodymaps.atlas import Atlas
from bodymaps.explain import Line
from bodymaps.matching import Match, Ranking
from charting.candidates import queries as candidates
from charting.candidates import wholes
from charting.candidates.extents import extent_of
from charting.candidates.others import exclude_first
from charting.candidates.pages import in_words, root_caution, sentences, words_of
from charting.candidates.queries import Ranked
from charting.consent import signature
from charting.consent.models import Consent
from charting.consent.queries import consents_of
from charting.drawing import papers, picture, sources, strikes
from charting.drawing.areas import ToldArea, facts
from charting.drawing.models import DrawnBy
from charting.handover.queries import helpers_of
from charting.history import danger_screen
from charting.history import queries as history
from charting.report.papers import day, moment
from charting.screening import queries as screening
from charting.staff.models import Practice, User
from charting.visits.models import Visit

# The shape of this data: raised when a key changes its meaning, so that old notes can still be told apart.
FORMAT = "visit-note-2"
MOST_CANDIDATES = 12
# Of each area alone, where there are several: the whole is printed before.
MOST_OF_AREA = 5
CAUTION = (
    "Tautline suggests what to examine. It does not diagnose. "
    "The clinician decides, within local rules and licensed practice."
)


def assemble(visit: Visit, *, assessment: str = "", plan: str = "") -> dict[str, Any]:
    """Read the whole visit into plain data: strings, whole numbers, lists and dicts only.

    The same visit gives equal data at any time; nothing in it tells when it was read. Costs one painting and
    one ranking of each area, some tens of milliseconds for each.
    """
    practice = visit.patient.practice
    found = candidates.ranked(visit)
    whole = {
        "format": FORMAT,
        "practice": _practice(practice),
        "patient": _patient(visit),
        "visit": _visit(visit, practice),
        "story": _story(visit),
        "danger": _danger(found),
        "drawing": _drawing(visit, found),
        "candidates": _candidates(found),
        "screening": _screening(visit),
        "assessment": assessment.strip(),
        "plan": plan.strip(),
        "consents": [_consent(consent, practice) for consent in consents_of(visit)],
        "versions": _versions(found),
        "caution": CAUTION,
    }
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


def _story(visit: Visit) -> dict[str, str]:
    story = history.story_of(visit)
    return {
        "complaint": story.complaint.strip(),
        "history": story.history.strip(),
        "height_cm": history.plain(story.height_cm),
        "weight_kg": history.plain(story.weight_kg),
    }


def _danger(found: Ranked) -> dict[str, Any]:
    """Every question as it was asked, with its answer; what to do stands with each alarm. `undecided`: the
    signs of danger that ask for a decision and have none.
    """
    screen = found.screen
    raised = history.alarms_among(screen)
    asked = danger_screen.load()
    return {
        "version": asked.version,
        "is_complete": history.all_answered(screen),
        "local_rules": asked.local_rules,
        "undecided": [f"{flag.title} ({flag.level_words.lower()})" for flag in found.flags.open_flags],
        "alarms": [
            {
                "topic": alarm.topic,
                "answer": alarm.answer_words,
                "remark": alarm.remark,
                "urgency": alarm.urgency_words,
                "what_to_do": alarm.what_to_do,
            }
            for alarm in raised
        ],
        "answers": [
            {
                "topic": each.question.topic,
                "question": each.question.question,
                "answer": each.answer_words,
                "remark": each.remark,
                "is_alarm": each.question.id in {alarm.id for alarm in raised},
            }
            for each in screen
        ],
    }


def _screening(visit: Visit) -> dict[str, Any]:
    found = screening.table_of(visit)
    return {
        "version": found.version,
        "is_empty": found.is_empty,
        "differences": list(found.differences),
        "alike": list(found.alike),
        "tables": [{**asdict(table), "legend": _legend(table)} for table in found.tables],
    }


def _legend(table: screening.Table) -> str:
    """What the grades in the table mean: "2 normal; NT not tested; say why"."""
    used = {finding.grade for row in table.rows for finding in (row.right, row.left, row.middle)}
    return "; ".join(f"{value} {words}" for value, words in table.grades if value in used)


def _drawing(visit: Visit, found: Ranked) -> dict[str, Any]:
    drawing, told = found.drawing, found.told
    extent = extent_of(visit, found.marks)
    views = picture.views_of(found.marks, areas=found.areas, spots=told.spots)
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


def _candidates(found: Ranked) -> dict[str, Any]:
    """The first lines as printed, and the whole ranking as it was computed.

    With several areas the lines are those of the whole, by what explains it, and each area follows alone.
    """
    ranking, explained = found.ranking, found.explanation
    if ranking is None:
        return {"is_ranked": False, "lines": [], "roots": [], "notices": [], "not_shown": 0, "ranking": None}
    known = found.atlas
    lines = (
        [_whole_line(line, known) for line in explained.whole] if explained else _match_lines(ranking, known)
    )
    rankings = enumerate(explained.rankings, 1) if explained else ()
    areas = [_ranked_area(number, one, known) for number, one in rankings]
    printed = [*lines[:MOST_CANDIDATES], *(line for area in areas for line in area["lines"])]
    return {
        "is_ranked": True,
        "exclude_first": [
            one.words for one in exclude_first(ranking, explained.rankings if explained else ())
        ],
        "lines": lines[:MOST_CANDIDATES],
        "not_shown": max(0, len(lines) - MOST_CANDIDATES),
        "roots": [{"root": root.root, "side": root.side, "words": root.words} for root in ranking.roots],
        "root_caution": root_caution(),
        "notices": list(ranking.notices),
        "ranking": ranking.as_json(),
        "together": sentences(found),
        "areas": areas,
        "explanation": explained.as_json() if explained else None,
        "own_patterns": _own_patterns(known, {line["id"] for line in printed}),
    }


def _own_patterns(known: Atlas, printed: set[str]) -> list[dict[str, str]]:
    """The practice's own patterns among the printed lines, as they were: what they rest on, and why."""
    found = [muscle for name, muscle in known.muscles.items() if name in printed and own.is_own(muscle)]
    return [
        {
            "name": in_words(muscle.name),
            "words": own.words_of(known, muscle.id),
            "source": f"{muscle.sources[0].work}, {muscle.sources[0].chapter} ({muscle.sources[0].status})",
            "reason": muscle.sites[0].note,
        }
        for muscle in found
    ]


def _match_lines(ranking: Ranking, known: Atlas, what: str = "the drawing") -> list[dict[str, Any]]:
    return [_printed(match, words_of(match, what), known) for match in ranking.muscles]


def _whole_line(line: Line, known: Atlas) -> dict[str, Any]:
    return _printed(line, wholes.words_of(line), known)


def _printed(line: Match | Line, words: str, known: Atlas) -> dict[str, Any]:
    """`own` tells which version of an own pattern it is, "" for a pattern of the atlas."""
    return {
        "id": line.muscle,
        "name": in_words(line.name),
        "side": line.side,
        "words": words,
        "percent": max(1, round(100 * line.score)),
        "own": own.words_of(known, line.muscle),
    }


def _ranked_area(number: int, ranking: Ranking, known: Atlas) -> dict[str, Any]:
    lines = _match_lines(ranking, known, f"area {number}")
    return {
        "number": number,
        "lines": lines[:MOST_OF_AREA],
        "not_shown": max(0, len(lines) - MOST_OF_AREA),
        "notices": list(ranking.notices),
    }


def _consent(consent: Consent, practice: Practice) -> dict[str, Any]:
    return {
        "title": consent.title,
        "version": consent.text_version,
        "body": consent.body,
        "explained_by": _person(consent.explained_by),
        "signer": consent.get_signer_display(),
        "signer_name": consent.signer_name,
        "questions": consent.questions,
        "how": consent.how_signed,
        "signature": signature.path(consent.signature),
        "when": moment(consent.signed_at, practice.time_zone),
    }


def _versions(found: Ranked) -> dict[str, str]:
    return {
        "figure": figure.load().version,
        "painting": marks.RULE,
        "atlas": found.atlas.version,
        "ranking": found.ranking.as_json()["ranking"] if found.ranking else "",
        "explanation": found.explanation.as_json()["explanation"] if found.explanation else "",
    }
