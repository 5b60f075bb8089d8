"""Assessment and plan: what was concluded, done and given along, in sentences. Pure, as soap_told."""

from collections.abc import Iterator, Mapping
from typing import Any

from charting.report.papers import stopped
from charting.report.sentences import Assembled

Content = Mapping[str, Any]


def concluded(content: Content) -> Iterator[Assembled]:
    """What the clinician concluded about each area, source by source, then heading by heading."""
    strokes = {area["number"]: area["strokes"][0] for area in content["drawing"]["areas"]}
    for one in content["conclusions"]:
        about = f"conclusions.{_about(one, strokes)}"
        if one["sources"]:
            named = "; ".join(source["words"] for source in one["sources"])
            yield Assembled("assessment", about, f"{_where(one)}: {stopped(named)}")
        for group in one["groups"]:
            key = f"{about}.{group['heading'].lower().replace(' ', '_')}"
            said = " ".join(group["sentences"])
            yield Assembled("assessment", key, f"{group['heading']} ({_where(one, within=True)}): {said}")


def done(content: Content) -> Iterator[Assembled]:
    """What was done in this visit, and what the patient does at home."""
    for one in content["treatment"]["entries"]:
        key = f"treatment.{one['technique_id']}.{one['where']}.{one['site']}".lower().replace(" ", "_")
        yield Assembled("plan", key, _treated(one))
    minutes = content["treatment"]["minutes"]
    if minutes["in_all"]:
        yield Assembled("plan", "treatment_minutes", _minutes(minutes))
    for number, item in enumerate(content["programme"]["items"], 1):
        yield Assembled("plan", f"home.{number}", _home(item))
    if content["programme"]["words"]:
        yield Assembled("plan", "home.words", stopped(content["programme"]["words"]))


def _about(one: Content, strokes: Mapping[int, str]) -> str:
    """Which area: by its first stroke, for numbers change with the drawing; of one that is gone its words."""
    if one["is_gone"]:
        return f"gone:{one['where'][:120]}"
    return strokes.get(one["number"], "whole")


def _where(one: Content, *, within: bool = False) -> str:
    if one["is_gone"]:
        return f"{one['where']}, not in the drawing any more"
    name = f"Area {one['number']}" if one["number"] else one["where"]
    return name[:1].lower() + name[1:] if within else name


def _treated(one: Content) -> str:
    """ "Infraspinatus, right: manual pressure; pain 5 to 3; 4 minutes." """
    site = f" ({one['site']})" if one["site"] else ""
    said = one["sentence"].removeprefix(one["where"])
    remark = f" {stopped(one['remark'])}" if one["remark"] else ""
    return f"{one['where']}{site}{stopped(said)}{remark}"


def _minutes(minutes: Content) -> str:
    by = ", ".join(f"{one['technique'].lower()} {one['minutes']}" for one in minutes["by_technique"])
    return f"{minutes['in_all']} minute{'' if minutes['in_all'] == 1 else 's'} in all: {by}."


def _home(item: Content) -> str:
    stop = f"Stop: {item['stop']}" if item["stop"] else ""
    return " ".join(said for said in ("At home:", item["title"], item["how"], item["dose"], stop) if said)
