"""Subjective: what was told, drawn and scored, in sentences. Pure: plain data of report.content in."""

from collections.abc import Iterator, Mapping
from typing import Any

from bodymaps.words import sentence_case
from charting.report.papers import stopped
from charting.report.sentences import Assembled

SECTION = "subjective"
Content = Mapping[str, Any]


def told(content: Content) -> Iterator[Assembled]:
    """In the order of reading; what was not recorded has no sentence."""
    for key, words in (*_story(content["story"]), *_drawn(content), *_scores(content["scores"])):
        yield Assembled(SECTION, key, words)


def _story(story: Content) -> Iterator[tuple[str, str]]:
    for name in ("complaint", "history"):
        if story[name]:
            yield f"story.{name}", stopped(story[name])
    for group in story["groups"]:
        yield f"story.{group['id']}", _group(group["answers"])
    size = _size(story)
    if size:
        yield "story.size", size


def _group(answers: list[Content]) -> str:
    """The answers of one group; where all are from one earlier day, that is said once."""
    (day, *others) = {answer["carried"] for answer in answers}
    if others or not day or len(answers) == 1:
        return " ".join(answer["words"] for answer in answers)
    said = " ".join(stopped(f"{answer['label']}: {answer['said']}") for answer in answers)
    return f"{said} (All of it from {day}, not asked again.)"


def _size(story: Content) -> str:
    """ "Height 171 cm, weight 68 kg." """
    said = (("height", story["height_cm"], "cm"), ("weight", story["weight_kg"], "kg"))
    return stopped(sentence_case(", ".join(f"{name} {value} {unit}" for name, value, unit in said if value)))


def _drawn(content: Content) -> Iterator[tuple[str, str]]:
    drawing = content["drawing"]
    if drawing["no_pain"]:
        yield "drawing.no_pain", "No pain today, says the patient."
    for area in drawing["areas"]:
        facts = stopped(sentence_case("; ".join(area["facts"])))
        yield f"drawing.{area['strokes'][0]}", f"{stopped(area['words'])} {facts}".strip()
    if drawing["cleared"]:
        yield "drawing.cleared", stopped(drawing["cleared"])
    if content["compared"]:
        yield "drawing.since", _since(content["compared"])


def _since(compared: Content) -> str:
    """The last drawing beside this one: what is gone, new and the same."""
    said = [*compared["sentences"], *compared["limbs"]]
    for title, parts in (("No pain is drawn any more on", "lost"), ("New on", "gained")):
        if compared[parts]:
            said.append(f"{title}: {', '.join(compared[parts])}.")
    return f"Since the drawing of {compared['before']}: {' '.join(said)}"


def _scores(scores: list[Content]) -> Iterator[tuple[str, str]]:
    for row in scores:
        said = row["score"] or f"no score. {row['why_not']}"
        band = f" ({row['band']})" if row["score"] and row["band"] else ""
        since = "".join(f"; since {one['day']} ({one['before']}): {_change(one)}" for one in row["changes"])
        yield f"scores.{row['instrument']}", stopped(f"{row['name']}: {said}{band}{since}")


def _change(one: Content) -> str:
    """The direction, and whether it is more than the error of measurement."""
    if one["within_error"] is False and one["direction"] in ("better", "worse"):
        return f"{one['direction']}, more than measurement error"
    return ", ".join(dict.fromkeys(each for each in (one["direction"], one["said"]) if each))
