"""A patient's own summary: what the record holds in words a twelve-year-old knows (plain.toml)."""

from collections.abc import Iterator

from bodymaps.reasoning import consent_areas
from bodymaps.reasoning.outcomes import Change
from bodymaps.reasoning.range_change import BEYOND, NO_FIGURE, UNSURE, WITHIN
from bodymaps.words import listed
from charting.assessment.written import Source
from charting.letters import plain_file
from charting.letters.gathered import Gathered
from charting.letters.reason import Said, answer_in
from charting.letters.went import is_from_elsewhere, last_programme
from charting.progress import spread
from charting.report.papers import day, stopped
from charting.treatment import where
from charting.treatment.models import TreatmentEntry

# What a change of a number may be called: whether it is more than such numbers vary by themselves.
MEANS = {
    BEYOND: "That is more than such a number goes up and down by itself.",
    WITHIN: "Such a number can go up and down that much by itself.",
    UNSURE: "It may be that such a number goes up and down that much by itself.",
    NO_FIGURE: "We do not know how much such a number goes up and down by itself.",
}


def came(found: Gathered) -> Iterator[Said]:
    if not found.visits:
        return
    first = found.day(found.visits[0].started_at)
    count = len(found.visits)
    yield "first", f"You first came on {first}."
    if count > 1:
        yield "count", f"Since then you came {count - 1} more time{'s' * (count > 2)}."


def complaint(found: Gathered) -> Iterator[Said]:
    for note in found.in_order:
        if words := note.content["story"]["complaint"]:
            yield "complaint", f"We wrote down why you came: “{words.strip()}”"
            return


def goals(found: Gathered) -> Iterator[Said]:
    for note in reversed(found.in_order):
        if words := answer_in(note.content, "goals"):
            yield "goals", f"You told us what you want to do again: “{words.strip().rstrip('.')}”."
            return


def found_out(found: Gathered) -> Iterator[Said]:
    """Sources that were called likely or possible, each once; others are left to the clinician."""
    words = plain_file.load()
    for source in found.sources:
        named = source_words(source)
        certain = words.certainty.get(source.certainty, "")
        if named and certain:
            yield f"source:{source.layer}:{named}", certain.format(source=named)


def source_words(source: Source) -> str:
    """ "a muscle near your right shoulder"; "" where no plain word may be said."""
    words = plain_file.load().sources.get(source.layer, "")
    if "{place}" not in words:
        return words
    keys = consent_areas.of_muscle(source.id, source.side)
    return words.format(place=place_words(keys[0])) if keys else ""


def place_words(key: str) -> str:
    """ "right shoulder" of "shoulder right"."""
    area, _, side = key.partition(" ")
    return plain_file.load().places[area].format(side=side).strip()


def did(found: Gathered) -> Iterator[Said]:
    """What was done, and where; not how often each."""
    entries = [row for visit in found.visits for row in found.course.recorded.entries.get(visit.pk, ())]
    words = plain_file.load().techniques
    done = list(dict.fromkeys(words[row.technique] for row in entries if row.technique in words))
    places = list(dict.fromkeys(place for row in entries if (place := _place(row))))
    if done:
        yield "done", f"We {listed(done)}."
    if places:
        yield "places", f"The places were: {listed(places)}."


def _place(row: TreatmentEntry) -> str:
    keys = where.of(row).consent_keys
    return place_words(keys[0]) if keys else ""


def reactions(found: Gathered) -> Iterator[Said]:
    for number, one in enumerate(found.course.recorded.adverse, 1):
        said = stopped(one.words)
        yield f"reaction:{number}", f"After a visit, on {found.day(one.happened_at)}, you had this: {said}"


def scores(found: Gathered) -> Iterator[Said]:
    """Each rating of the pain, first and last; each activity."""
    words = plain_file.load().scores
    for one in found.course.series:
        if one.id in words and one.change and one.change.before is not None:
            yield f"score:{one.id}", _rated(words[one.id], one.change)
        elif one.id == "psfs" and one.change:
            yield from _activities(one.change)


def _activities(change: Change) -> Iterator[Said]:
    """Each activity, and of all together whether that is more than they vary by themselves."""
    yield "activities", "You named things that were hard to do. At 10 you can do them as well as before."
    for part in change.parts:
        said = f"“{part.title}”: {part.before} at first, {part.after} the last time."
        yield f"activity:{part.title.lower()}", said
    if means := _means(change):
        yield "activities:means", f"Taken together: {means[:1].lower()}{means[1:]}"


def _rated(what: str, change: Change) -> str:
    """The numbers, and whether that is more than they vary by themselves."""
    before, after = (f"{number:g}" for number in (change.before or 0, change.after or 0))
    if before == after:
        return f"You gave your {what} {before} out of 10, first and last."
    means = _means(change)
    return f"You gave your {what} {before} out of 10 at first. The last time it was {after}. {means}".strip()


def _means(change: Change) -> str:
    """Figures that were found for other parts of the body are said to be so."""
    words = MEANS.get(change.verdict, "")
    if words and is_from_elsewhere(change):
        return f"In other parts of the body, {words[:1].lower()}{words[1:]}"
    return words


def drawn(found: Gathered) -> Iterator[Said]:
    """Whether the area drawn as painful grew or shrank by more than drawings of the same pain differ."""
    extent = next((one for one in found.course.measures if one.key == "extent" and one.is_course), None)
    if extent is None:
        return
    first, last = extent.first.number, extent.last.number
    if spread.of_extent().holds(first, last):
        yield "drawn", "The area you drew is about as large as at first."
    else:
        yield "drawn", f"The area you drew is {'smaller' if last < first else 'larger'} than at first."


def home(found: Gathered) -> Iterator[Said]:
    for number, item in enumerate(last_programme(found)[1], 1):
        dose = f" How often: {stopped(item['dose'])}" if item["dose"] else ""
        stop = f" Stop when: {stopped(item['stop'])}" if item["stop"] else ""
        how = f" {stopped(item['how'])}" if item["how"] else ""
        yield f"item:{number}", f"{stopped(item['title'])}{how}{dose}{stop}"


def booked(found: Gathered) -> Iterator[Said]:
    if found.booked:
        at = found.booked.starts_at.astimezone(found.course.zone)
        yield "booked", f"Your next visit is on {day(at)} at {at:%H:%M}."
