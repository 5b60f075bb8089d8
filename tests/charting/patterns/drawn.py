"""Own patterns for tests: drawn, kept, written to a file. Their shapes and reasons are invented."""

import uuid

from bodymaps import geometry, own_file
from charting.patterns import services
from charting.patterns.models import PatternDrawing, PatternFile, PatternVersion
from charting.staff.models import Practice, User
from tests.bodymaps.test_own import pattern as own_pattern
from tests.charting.recorded import stroke

SAID = {
    "site": "Fold of the elbow",
    "work": "Own observation",
    "chapter": "12 patients, 2026",
    "status": "from memory",
    "reason": "Seen often here.",
}
# View, zone, landmarks of the right side, nib in mm.
CORE = ("front", "core", ("deltoid_insertion", "biceps_mid"), 30)
SPILLOVER = ("front", "spillover", ("deltoid_insertion", "biceps_mid", "forearm_radial_mid"), 50)


def begun(
    who: User, pattern: str = "own_biceps_fold", name: str = "Fold of the biceps", **more
) -> PatternDrawing:
    told = {"id": uuid.uuid4(), "as_it_stands": False, **more}
    return services.begin(who=who, pattern=pattern, name=name, **told)


def draw(who: User, drawing: PatternDrawing, *lines: tuple, first: int = 1) -> list[dict]:
    """Lines as the board sends them; what was sent."""
    sent = [stroke(seq, *line) for seq, line in enumerate(lines or (CORE, SPILLOVER), first)]
    outcome = services.save_events(who=who, drawing=drawing, sent=sent)
    assert not outcome.refused, outcome.refused
    return sent


def kept(
    who: User, pattern: str = "own_biceps_fold", name: str = "Fold of the biceps", **said
) -> PatternVersion:
    """A pattern drawn and kept, the way the pages do it."""
    lines = said.pop("lines", ())
    drawing = begun(who, pattern, name)
    draw(who, drawing, *lines)
    after = services.queries.newest_number(drawing.practice, pattern)
    return services.keep(who=who, drawing=drawing, after=after, **{**SAID, **said})


def a_file(*patterns) -> str:
    return own_file.write(patterns or (own_pattern(),))


# For the table of addresses: rows without a person who may write them.


def a_drawing(practice: Practice, by: User) -> PatternDrawing:
    told = {"name": "Fold of the biceps", "begun_by": by}
    return PatternDrawing.objects.get_or_create(practice=practice, pattern="own_biceps_fold", defaults=told)[
        0
    ]


def a_version(practice: Practice) -> PatternVersion:
    one = own_pattern()
    told = {"name": one.name, "work": "Work", "chapter": "1", "status": "from memory", "reason": "Seen here."}
    zones = own_file.zones_json({key: geometry.on_grid(area) for key, area in one.zones.items()})
    defaults = {**told, "zones": zones, "writer": "Mara Steiner"}
    return PatternVersion.objects.get_or_create(
        practice=practice, pattern=one.id, number=1, defaults=defaults
    )[0]


def a_brought_file(practice: Practice) -> PatternFile:
    defaults = {"text": a_file(), "sha256": "0" * 64}
    return PatternFile.objects.get_or_create(practice=practice, name="own.json", defaults=defaults)[0]
