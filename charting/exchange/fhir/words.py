"""A note in words, by problem: what a reader sees of it without any program that knows FHIR."""

from typing import Any

from charting.exchange.fhir import flag

Section = tuple[str, str, list[str]]
INSURER = "Insurer"
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


def beside_of(content: dict[str, Any]) -> list[Section]:
    """(kind of resource that stands with it, title, paragraphs) of what was recorded beside the sentences;
    what is not there has no section.
    """
    every = (
        ("Flag", "Signs of danger", _dangers(content.get("danger") or {})),
        ("", "Stops, needles and advice", _beside_treatment(content.get("treatment") or {})),
        ("", "Reactions to treatment", _reactions(content)),
        ("", "Consents taken back", _taken_back(content)),
        ("", "Codes (ICD-10-CM)", _codes(content)),
        ("Coverage", INSURER, _insured(content)),
    )
    return [(type_, title, said) for type_, title, said in every if said]


def _codes(content: dict[str, Any]) -> list[str]:
    return [f"{row['code']} {row['title']}" for row in content.get("codes") or []]


def _insured(content: dict[str, Any]) -> list[str]:
    groups = (content.get("insurance") or {}).get("groups") or []
    return [
        f"{group['title']}: {'; '.join(f'{label}: {said}' for label, said in group['rows'])}"
        for group in groups
    ]


def _dangers(danger: dict[str, Any]) -> list[str]:
    raised = [flag.in_words(row) for row in danger.get("flags") or []]
    watched = [f"To watch: {row['title']}. {row['because']}" for row in danger.get("watch") or []]
    return [*raised, *watched]


def _beside_treatment(treated: dict[str, Any]) -> list[str]:
    past = [
        f"Gone past a stop: {', '.join(filter(None, (row['title'], row['where'])))}. {row['reason']} "
        f"Decided by {row['by']}."
        for row in treated.get("overrides") or []
    ]
    needles = [f"Needles: {row['words']} {row['done']}" for row in treated.get("incidents") or []]
    advice = [f"Told to watch for: {row['words']}" for row in treated.get("late_advice") or []]
    return [*past, *needles, *advice]


def _reactions(content: dict[str, Any]) -> list[str]:
    return [
        f"{row['what']}, {row['when']}, {row['severity']}. {row['words']}"
        for row in content.get("reactions") or []
    ]


def _taken_back(content: dict[str, Any]) -> list[str]:
    rows = [*(content.get("consents") or []), *(content.get("consents_taken_back") or [])]
    return [f"{row['title']}: taken back" for row in rows if row.get("withdrawn")]


def _told(section: dict[str, Any]) -> list[str]:
    """The sentences that stand, part by part, then the clinician's own words."""
    said = []
    for part in section["parts"]:
        words = [one["words"] for one in part["sentences"] if not one.get("taken_out")]
        title = f"{part['title']}: " if part.get("title") else ""
        if words:
            said.append(f"{title}{' '.join(words)}")
    return [text for text in (*said, section.get("own") or "") if text.strip()]


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
