"""What was found last and what comes next, in sentences: conclusions, plan, plan of care, discharge."""

from collections.abc import Iterator
from typing import Any

from bodymaps.words import sentence_case
from charting.letters.gathered import Gathered
from charting.letters.reason import Said
from charting.report.papers import stopped


def conclusions(found: Gathered) -> Iterator[Said]:
    """What the clinician concluded at the last signed visit that has a conclusion, as the note was signed:
    what was taken out of it does not stand here, what was changed stands as changed.
    """
    for note in reversed(found.in_order):
        if note.content.get("conclusions"):
            yield from _in_sentences(note.content) if "soap" in note.content else _in_groups(note.content)
            return


def _in_sentences(content: dict[str, Any]) -> Iterator[Said]:
    """An area is named where the note first gives its number: a letter shows no drawing. The number of the
    only one is left out.
    """
    names = {one["number"]: one["where"] for one in content["conclusions"] if one["number"]}
    only = len(names) == 1
    section = next(one for one in content["soap"]["sections"] if one["id"] == "assessment")
    for part in section["parts"]:
        for one in part["sentences"] if part["id"] == "conclusions" else ():
            if not one["taken_out"]:
                words, names = _named(str(one["words"]), names, only)
                yield str(one["key"]).removeprefix("conclusions."), words


def _named(words: str, names: dict[int, str], only: bool) -> tuple[str, dict[int, str]]:
    """ "Area 1: ..." as "Area 1, front of right shoulder: ...", and the areas that are still to be named."""
    left = dict(names)
    for number, name in names.items():
        said = f"{sentence_case(name.partition(', ')[2] or name)}: " if only else f"{name}: "
        if words.startswith(f"Area {number}: "):
            words, _ = words.replace(f"Area {number}: ", said, 1), left.pop(number)
        elif f" (area {number}): " in words and not only:
            within = f" ({name[:1].lower()}{name[1:]}): "
            words, _ = words.replace(f" (area {number}): ", within, 1), left.pop(number)
    return (words.replace(" (area 1): ", ": ", 1) if only else words), left


def _in_groups(content: dict[str, Any]) -> Iterator[Said]:
    """Of a note from before sentences could be changed."""
    for one in content["conclusions"]:
        said = [f"{'; '.join(source['words'] for source in one['sources'])}."] * bool(one["sources"])
        said += [stopped(words) for group in one["groups"] for words in group["sentences"]]
        yield f"area:{one['number']}:{one['where'].lower()}", f"{_name(one)}: {' '.join(said)}"


def _name(one: dict[str, Any]) -> str:
    """ "Front of right shoulder" of "Area 1, front of right shoulder"."""
    return sentence_case(one["where"].partition(", ")[2] or one["where"])


def assessment(found: Gathered) -> Iterator[Said]:
    """The clinician's own words of assessment in the last signed note that has any."""
    held = found.last_with("assessment")
    if held:
        yield "assessment", f"Assessment of {held[0]}: {stopped(held[1])}"


def plan(found: Gathered) -> Iterator[Said]:
    held = found.last_with("plan")
    if held:
        yield "plan", f"Plan of {held[0]}: {stopped(held[1])}"


def discharged(found: Gathered) -> Iterator[Said]:
    event = found.discharge
    if event:
        words = f" {stopped(event.words)}" if event.words else ""
        reason = event.get_reason_display()
        yield "discharged", f"Discharged on {found.day(event.done_at)}: {stopped(reason)}{words}"
