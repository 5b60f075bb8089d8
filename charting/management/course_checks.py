"""What an entry of courses.toml may name: read into what the services take, or refused with what to mend."""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from datetime import time
from typing import Any

from bodymaps import atlas, figure, kinds
from bodymaps.reasoning import consent_areas, felt, items, outcomes, ranges
from bodymaps.reasoning.case import CaseError, value_of
from charting.contacts.models import Contact
from charting.episodes.models import EpisodeEvent
from charting.examination import felt_limits, range_limits
from charting.examination.range_limits import Taken
from charting.examination.services import MuscleLine
from charting.flags.models import Decision
from charting.flags.queries import asked_on
from charting.treatment import adverse, done, home, techniques
from charting.treatment.done import Done
from charting.treatment.services import needs_way
from charting.treatment.where import Where

NPRS = ("now", "best", "worst", "average")
PEG = ("pain", "enjoyment", "activity")
# What the hand found, by what the consensus makes of it (bodymaps.reasoning.felt).
SIGNS = {
    felt.ACTIVE: {"band": "yes", "spot": "yes", "referral": "yes", "recognised": "yes"},
    felt.LATENT: {"band": "yes", "spot": "yes", "referral": "no", "recognised": "no"},
    felt.NOT_MET: {"band": "no", "spot": "yes", "referral": "no", "recognised": "no"},
}


class CourseError(ValueError):
    """An entry that cannot be used: which, and what to mend."""


@dataclass(frozen=True)
class Score:
    """One instrument as the service of scores takes it."""

    instrument: str
    answers: dict[str, Any]
    form: str = ""
    on_paper: bool = False


def kinds_of_pain() -> tuple[str, ...]:
    return tuple(kind.id for kind in kinds.load() if not kind.finding)


def answers(said: Mapping[str, Any], entry: str) -> None:
    """Keys and choices of the story and of what stays with a person (history.toml)."""
    known = items.history()
    for key, value in said.items():
        if key not in known.items:
            raise CourseError(f"{entry}: {key} is no question of history.toml")
        try:
            value_of(known, key, value, "history")
        except CaseError as problem:
            raise CourseError(f"{entry}: {problem}") from problem


def areas(keys: Iterable[str], entry: str) -> None:
    if strange := [key for key in keys if key not in set(consent_areas.keys())]:
        raise CourseError(f"{entry}: areas: {strange[0]!r} is no area of consent_areas.toml")


def area_of(key: str) -> consent_areas.ConsentArea:
    return consent_areas.area_of(key)


def row(table: str, said: Mapping[str, Any], entry: str) -> None:
    """A line of a course that is no visit."""
    if "at" in said:
        _clock(said["at"], entry)
    if table == "end":
        _one_of(EpisodeEvent.Reason.values, said["reason"], entry, "reason")
    if table == "call":
        _one_of(Contact.Way.values, said.get("way", "call_to"), entry, "way")
    if table == "reaction":
        _one_of(adverse.load().kinds, said["what"], entry, "what")
        _one_of(adverse.load().severities, said["severity"], entry, "severity")
        if said["days_ago"] < 2:  # noqa: PLR2004 - it is reported on the day after
            raise CourseError(f"{entry}: days_ago: at least 2, for it is reported on the day after")


def visit(said: Mapping[str, Any], entry: str) -> None:
    _clock(said["at"], entry)
    for text in said["lines"]:
        line(text, entry)
    if bool(said["lines"]) == bool(said.get("no_pain")):
        raise CourseError(f"{entry}: lines: some, or no_pain = true")
    for score in scores(said, entry):
        _score(score, entry)
    _found(said, entry)
    _of_danger(said, entry)
    for each in said["treated"]:
        treated(each, entry)
    _home(said, entry)
    if "discharge" in said:
        _one_of(EpisodeEvent.Reason.values, said["discharge"].get("reason"), entry, "discharge")


def _found(said: Mapping[str, Any], entry: str) -> None:
    for text in said["felt"]:
        muscle(text, entry)
    for text in said.get("ranges", ()):
        reading(text, entry)
    for cell in said.get("grades", {}):
        _one_of(items.findings().items, cell.partition(" ")[0], entry, "grades")


def _of_danger(said: Mapping[str, Any], entry: str) -> None:
    for key in said.get("asked", {}):
        _one_of(asked_on(), key, entry, "asked")
    for each in said.get("decided", ()):
        _one_of(Decision.Outcome.values, each.get("outcome"), entry, "decided")
        if missing := [name for name in ("flag", "why", "advised") if not each.get(name)]:
            raise CourseError(f"{entry}: decided: {missing[0]} is missing")
        if ("follow_up_in" in each) != ("followed" in each):
            raise CourseError(f"{entry}: decided: follow_up_in and followed go together")


def line(text: str, entry: str) -> dict[str, Any]:
    """ "[left] view kind nib landmarks" as hand.shaded takes it."""
    words = text.split()
    side = words.pop(0) if words[:1] in (["left"], ["right"]) else "right"
    view, kind, nib, *along = (*words, *[""] * (4 - len(words)))
    _one_of(kinds_of_pain(), kind, entry, f"lines: {text}")
    for name in along:
        try:
            figure.load().landmark(view, name)
        except KeyError as problem:
            raise CourseError(f"{entry}: lines: {name!r} is no landmark of the {view or '?'}") from problem
    if not nib.isdecimal():
        raise CourseError(f"{entry}: lines: {text}: the nib in whole millimetres")
    return {"view": view, "kind": kind, "nib_mm": float(nib), "along": along, "side": side}


def scores(said: Mapping[str, Any], entry: str = "") -> Iterator[Score]:
    """Every instrument that was asked in a visit."""
    for name, members in (("nprs", NPRS), ("peg", PEG)):
        if name in said:
            if len(said[name]) != len(members):
                raise CourseError(f"{entry}: {name}: {', '.join(members)}")
            yield Score(name, dict(zip(members, said[name], strict=True)), on_paper=name == "peg")
    if "activities" in said:
        yield Score("psfs", {"activities": [{"name": n, "value": v} for n, v in said["activities"]]})
    if "pgic" in said:
        yield Score("pgic", {"value": said["pgic"]}, form="impact")
    for name, (total, answered) in said.get("totals", {}).items():
        yield Score(name, {"sum": total, "answered": answered}, on_paper=True)


def muscle(text: str, entry: str) -> tuple[MuscleLine, dict[str, Any]]:
    """ "muscle.side[.site] result pain [kPa x3]": the line, and what to record of it."""
    place, result, pain, *kpa = (*text.split(), *[""] * (3 - len(text.split())))
    found = MuscleLine(*(*place.split("."), "")[:3])
    known = atlas.load().muscles.get(found.muscle)
    if known is None or found.side not in atlas.SIDES:
        raise CourseError(f"{entry}: felt: {place!r}: a muscle of the atlas and its side")
    if found.site not in ("", *(site.id for site in known.sites)):
        raise CourseError(f"{entry}: felt: {place!r}: the atlas does not know this site")
    _one_of(SIGNS, result, entry, f"felt: {place}")
    try:
        pressure = {"unit": "kPa", "trials": [float(one) for one in kpa], "tip_cm2": 1.0} if kpa else {}
        said = {**SIGNS[result], "pain": int(pain), "pressure": pressure}
        felt_limits.check(said)
    except ValueError as problem:
        raise CourseError(f"{entry}: felt: {text}: {problem}") from problem
    return found, said


def reading(text: str, entry: str) -> tuple[str, tuple[str, str], Taken]:
    """ "movement [side] number instrument": joint, (movement, side), what was read."""
    name, *rest = text.split()
    side = rest.pop(0) if rest[:1] in (["left"], ["right"]) else ""
    movement = ranges.load().movements.get(name)
    if movement is None or len(rest) != 2 or movement.sided != bool(side):  # noqa: PLR2004
        raise CourseError(f"{entry}: ranges: {text}: movement of ranges.toml, its side, number, instrument")
    try:
        taken = Taken(active=float(rest[0]), instrument=rest[1])
        range_limits.check(movement, taken)
    except ValueError as problem:
        raise CourseError(f"{entry}: ranges: {text}: {problem}") from problem
    return movement.joint, (name, side), taken


def treated(said: Mapping[str, Any], entry: str) -> Done:
    """One entry of treatment as its service takes it."""
    area, _, area_side = said.get("area", "").partition(" ")
    at = Where(said.get("muscle", ""), said.get("side", area_side), said.get("site", ""), area)
    made = Done(
        technique=said.get("technique", ""),
        at=at,
        dose=said.get("dose", {}),
        minutes=said.get("minutes"),
        pain_before=said.get("before"),
        pain_after=said.get("after"),
        twitch=said.get("twitch", ""),
        needles=said.get("needles", {}),
    )
    wrong = dict(done.wrong(made, atlas.load(), needs_way=needs_way(made.technique, at)))
    for name, words in wrong.items():
        raise CourseError(f"{entry}: treated: {at.token}: {name}: {words}")
    return made


def agreed_to(said: Mapping[str, Any], named: Iterable[str], entry: str) -> None:
    """What is treated lies in an area that the person agrees to."""
    for each in said["treated"]:
        made = treated(each, entry)
        technique = techniques.load().get(made.technique)
        if technique and technique.procedure and (lacking := set(made.at.consent_keys) - set(named)):
            raise CourseError(f"{entry}: treated: {made.at.token}: areas lacks {', '.join(sorted(lacking))}")


def _score(score: Score, entry: str) -> None:
    known = outcomes.instruments().get(score.instrument)
    if known is None:
        raise CourseError(f"{entry}: {score.instrument} is no instrument of outcomes.toml")
    for name, words in outcomes.wrong_in(known, score.answers, score.form).items():
        raise CourseError(f"{entry}: {score.instrument}: {name}: {words}")


def programme(said: Mapping[str, Any]) -> list[home.Item]:
    return [home.Item(*each) for each in said.get("home", ())]


def _home(said: Mapping[str, Any], entry: str) -> None:
    try:
        home.checked(programme(said), "")
    except (home.WrongItem, TypeError) as problem:
        raise CourseError(f"{entry}: home: {problem}") from problem


def _clock(text: str, entry: str) -> None:
    try:
        time.fromisoformat(text)
    except ValueError as problem:
        raise CourseError(f"{entry}: at: a time such as 09:30, not {text!r}") from problem


def _one_of(known: Iterable[str], value: Any, entry: str, name: str) -> None:
    known = tuple(known)
    if value not in known:
        raise CourseError(f"{entry}: {name}: {value!r} is none of {', '.join(map(str, known))}")
