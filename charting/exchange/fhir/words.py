"""A note in words, by problem: what a reader sees of it without any program that knows FHIR."""

from typing import Any

Section = tuple[str, str, list[str]]
HEADINGS = (
    ("subjective", "Subjective"),
    ("objective", "Objective"),
    ("assessment", "Assessment"),
    ("plan", "Plan"),
)


def sections_of(content: dict[str, Any]) -> list[Section]:
    """(id, title, paragraphs). Notes before the sentences (visit-note-6) are told from their record."""
    by_problem = content.get("soap") or {}
    if by_problem.get("sections"):
        return [(one["id"], one["title"], _told(one)) for one in by_problem["sections"]]
    old = {
        "subjective": _subjective(content),
        "objective": _objective(content),
        "assessment": [*_concluded(content), content.get("assessment") or ""],
        "plan": [*_done(content), content.get("plan") or "", *_home(content)],
    }
    return [(id_, title, [text for text in old[id_] if text.strip()]) for id_, title in HEADINGS]


def _told(section: dict[str, Any]) -> list[str]:
    """The sentences that stand, part by part, then the clinician's own words."""
    said = []
    for part in section["parts"]:
        words = [one["words"] for one in part["sentences"] if not one.get("taken_out")]
        title = f"{part['title']}: " if part.get("title") else ""
        if words:
            said.append(f"{title}{' '.join(words)}")
    return [*said, section.get("own") or ""]


def _subjective(content: dict[str, Any]) -> list[str]:
    story = content.get("story") or {}
    drawn = [area["words"] for area in content["drawing"].get("areas") or []]
    none = ["No pain today, says the patient."] if content["drawing"].get("no_pain") else []
    answers = [
        f"{group['title']}: {' '.join(one['words'] for one in group['answers'])}"
        for group in story.get("groups") or []
    ]
    return [story.get("complaint") or "", story.get("history") or "", *answers, *none, *drawn]


def _objective(content: dict[str, Any]) -> list[str]:
    muscles = content.get("muscles") or {}
    felt = [f"{row['name']}, {row['side']}: {row['verdict']}" for row in muscles.get("rows") or []]
    screen = content.get("screening") or {}
    return [*(screen.get("differences") or []), *(screen.get("alike") or []), *felt]


def _concluded(content: dict[str, Any]) -> list[str]:
    said = []
    for one in content.get("conclusions") or []:
        sources = [source["words"] for source in one.get("sources") or []]
        groups = [f"{group['heading']}: {' '.join(group['sentences'])}" for group in one.get("groups") or []]
        said.append("; ".join(filter(None, [one.get("where") or "", *sources, *groups])))
    return said


def _done(content: dict[str, Any]) -> list[str]:
    return [row["sentence"] for row in (content.get("treatment") or {}).get("entries") or []]


def _home(content: dict[str, Any]) -> list[str]:
    programme = content.get("programme") or {}
    items = [f"{one['title']} {one['how']} {one['dose']}" for one in programme.get("items") or []]
    return [*items, programme.get("words") or ""]
