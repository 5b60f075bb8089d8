"""Why somebody is in care, and what the care is for: sentences of a letter, each with its key."""

from collections.abc import Iterator
from typing import Any

from charting.letters.gathered import Gathered
from charting.report.papers import day, stopped

Said = tuple[str, str]


def complaint(found: Gathered) -> Iterator[Said]:
    """The words of the first signed visit that has any."""
    for note in found.in_order:
        if words := note.content["story"]["complaint"]:
            yield "complaint", f"As written on {note.content['visit']['day']}: {stopped(words)}"
            return


def injury(found: Gathered) -> Iterator[Said]:
    claim = found.cover.claim if found.cover else None
    if claim and (claim.cause or claim.injured_on):
        on = f", {day(claim.injured_on)}" if claim.injured_on else ""
        how = f" {stopped(claim.cause_words)}" if claim.cause_words else ""
        yield "injury", f"On record as its beginning: {claim.get_cause_display().lower()}{on}.{how}"


def thanks(found: Gathered) -> Iterator[Said]:
    """How a letter to who referred begins."""
    claim = found.cover.claim if found.cover else None
    about = f" about {title[:1].lower()}{title[1:]}" if (title := found.episode.title.strip()) else ""
    if claim and claim.referred_by:
        on = f" of {day(claim.referred_on)}" if claim.referred_on else ""
        yield "thanks", f"Thank you for your referral{on}{about}."
    elif about:
        yield "thanks", f"This letter is{about}."


def goals(found: Gathered) -> Iterator[Said]:
    """What the patient wants to be able to do again, as last told."""
    for note in reversed(found.in_order):
        if words := answer_in(note.content, "goals"):
            asked = day_of(note.content, "goals")
            yield "told", f"The patient's goals, told on {asked}: {stopped(words)}"
            return


def activities(found: Gathered) -> Iterator[Said]:
    """Each activity that the patient chose, first and last."""
    series = next((one for one in found.course.series if one.id == "psfs"), None)
    change = series.change if series else None
    if series is None or change is None or not change.parts:
        return
    first, last = (found.day(point.when) for point in (series.points[0], series.points[-1]))
    for part in change.parts:
        said = f"“{part.title}”: {part.before} of 10 on {first}, {part.after} of 10 on {last}"
        yield f"activity:{part.title.lower()}", f"{said} (10 is as well as before)."


def answer_in(content: dict[str, Any], key: str) -> str:
    """One answer of the story without its label, "" where it was not given."""
    given = _given(content, key)
    # Notes before visit-note-6 hold the sentence alone.
    return str(given.get("said", str(given.get("words", "")).partition(": ")[2]))


def day_of(content: dict[str, Any], key: str) -> str:
    """The day on which it was asked: of the visit, or of an earlier one it was carried forward from."""
    return str(_given(content, key).get("carried") or content["visit"]["day"])


def _given(content: dict[str, Any], key: str) -> dict[str, Any]:
    answers = [answer for group in content["story"]["groups"] for answer in group["answers"]]
    return next((answer for answer in answers if answer["key"] == key), {})
