"""Own patterns: drawn, laid over an atlas, and which ones are refused."""

import dataclasses
import uuid

import pytest

from bodymaps import atlas, figure, geometry, marks, matching, own
from bodymaps.marks import Mark, Spot
from bodymaps.own import OwnPattern
from bodymaps.patterns import AtlasError, Place, Source
from bodymaps.strokes import Stroke, StrokeError, parse

SOURCE = Source("Own observation", "12 patients, 2026", "from memory")


def disc(view: str, landmark: str, radius: float):
    return geometry.paint_line([figure.load().landmark(view, landmark)], 2 * radius)


def pattern(**others) -> OwnPattern:
    core = geometry.on_grid(disc("front", "biceps_mid", 20))
    spill = geometry.on_grid(
        geometry.overlap(disc("front", "biceps_mid", 45), marks.body_outlines()["front"])
    )
    zones = {
        ("front", "core"): core,
        ("front", "spillover"): geometry.on_grid(geometry.take_away(spill, core)),
    }
    fields = {"id": "own_biceps_fold", "name": "Fold of the biceps", "version": 1, "site": "", "zones": zones}
    return OwnPattern(**{**fields, "source": SOURCE, "reason": "Seen often here.", **others})


def stroke(seq: int, kind: str | None, landmarks: tuple[str, ...], nib: float, mode: str = "shade") -> Stroke:
    points = [[*figure.load().landmark("front", name), 0.5, 0] for name in landmarks]
    said = {"view": "front", "kind": kind, "mode": mode, "nib_mm": nib, "points": points}
    return parse({"id": str(uuid.uuid4()), "seq": seq, **said}, shown=("core", "spillover"))


def test_it_paints_core_and_spillover_apart_and_the_core_counts():
    arm = ("deltoid_insertion", "biceps_mid")
    zones = own.painted([stroke(1, "core", arm, 30), stroke(2, "spillover", arm, 60)])
    assert set(zones) == {("front", "core"), ("front", "spillover")}
    assert geometry.overlap(zones["front", "core"], zones["front", "spillover"]).area < 0.01
    [core] = own.painted([stroke(1, "core", arm, 30)]).values()
    assert zones["front", "core"].equals(core)


def test_it_lets_the_eraser_take_both_away():
    arm = ("deltoid_insertion", "biceps_mid")
    drawn = [stroke(1, "core", arm, 30), stroke(2, "spillover", arm, 44), stroke(3, None, arm, 60, "erase")]
    assert own.painted(drawn) == {}


def test_it_takes_no_kind_of_pain_for_a_zone_and_no_zone_for_a_pain():
    with pytest.raises(StrokeError, match="core, spillover"):
        stroke(1, "ache", ("biceps_mid",), 30)
    line = dataclasses.asdict(stroke(1, "core", ("biceps_mid",), 30))
    with pytest.raises(StrokeError, match="kind must be one of"):
        parse({**line, "points": [list(point) for point in line["points"]]})


def test_it_gives_back_the_very_same_atlas_when_there_is_none():
    assert own.applied(atlas.load(), []) is atlas.load()


def test_it_keeps_the_facts_of_a_muscle_it_replaces_and_gives_it_the_own_zones():
    before = atlas.load().muscles["infraspinatus"]
    mine = pattern(id="infraspinatus", name=before.name, version=3)
    known = own.applied(atlas.load(), [mine])
    after = known.muscles["infraspinatus"]
    facts = ("name", "group", "attachments", "action", "innervation", "cautions", "at_risk")
    assert [getattr(after, name) for name in facts] == [getattr(before, name) for name in facts]
    assert [site.zones for site in after.sites] == [mine.zones]
    assert after.sources == (SOURCE, *before.sources)
    assert own.words_of(known, "infraspinatus") == "own pattern, version 3"
    assert list(known.muscles) == list(atlas.load().muscles)


def test_it_leaves_the_atlas_as_it_was():
    before = dict(atlas.load().muscles)
    own.applied(atlas.load(), [pattern(), pattern(id="infraspinatus")])
    assert dict(atlas.load().muscles) == before


def test_it_says_in_the_version_how_many_there_are():
    release = atlas.load().version
    assert own.applied(atlas.load(), [pattern()]).version == f"{release} + 1 own pattern"
    two = [pattern(), pattern(id="infraspinatus")]
    assert own.applied(atlas.load(), two).version == f"{release} + 2 own patterns"


def test_a_new_pattern_is_ranked_first_for_a_drawing_of_it_on_either_side():
    mine = pattern()
    known = own.applied(atlas.load(), [mine])
    assert list(known.muscles)[-1] == mine.id
    assert own.is_own(known.muscles[mine.id])
    for side in ("right", "left"):
        drawn = geometry.unite([known.on_side(area, "front", side) for area in mine.zones.values()])
        [first, *_] = matching.rank([Mark("front", "ache", drawn)], known).muscles
        assert (first.muscle, first.side) == (mine.id, side)
        assert first.name == "Fold of the biceps"


def test_it_makes_an_id_of_a_name():
    assert own.new_id("Ligamentum nuchæ (upper)") == "own_ligamentum_nuch_upper"
    assert own.new_id("Crête iliaque") == "own_crete_iliaque"
    assert own.new_id("…") == own.PREFIX
    assert len(own.new_id("a" * 200)) == own.LONGEST["id"]


def test_it_finds_the_point_where_it_is_on_the_body():
    x, y = figure.load().landmark("front", "biceps_mid")
    assert own.place_of([Spot("", "front", x, y)]) == Place("front", x, y)
    assert own.place_of([Spot("", "front", 5, 5)]) is None
    assert own.place_of([]) is None


def test_it_knows_what_is_drawn_on_the_left():
    mine = pattern()
    midlines = atlas.load().midlines
    assert own.share_on_the_left(mine.zones, midlines) == 0
    mirrored = {key: geometry.mirrored(area, midlines[key[0]]) for key, area in mine.zones.items()}
    assert own.share_on_the_left(mirrored, midlines) == pytest.approx(1)
    assert own.share_on_the_left({}, midlines) == 0


def off_the_body():
    return {("front", "core"): geometry.box(10, 10, 60, 60)}


def both_in_one():
    core = geometry.on_grid(disc("front", "biceps_mid", 20))
    return {("front", "core"): core, ("front", "spillover"): core}


def crossing():
    x, y = figure.load().landmark("front", "sternum_mid")
    bow = [(x - 20, y - 20), (x + 20, y + 20), (x + 20, y - 20), (x - 20, y + 20)]
    return {("front", "core"): geometry.area_from_rings([bow])}


WRONG = {
    "the id is not own_<name>": {"id": "Own pattern"},
    "is no muscle of the atlas": {"id": "biceps_fold"},
    "name is missing": {"name": " "},
    "reason is missing": {"reason": ""},
    "reason has 601 characters": {"reason": "x" * 601},
    "can't be printed": {"site": "a\x00b"},
    "work is missing": {"source": Source("", "1", "checked")},
    "chapter is missing": {"source": Source("Work", "", "checked")},
    "'heard' is not from memory or checked": {"source": Source("Work", "1", "heard")},
    "has no core zone": {"zones": {}},
    "does not lie inside the outline": {"zones": off_the_body()},
    "core and spillover share": {"zones": both_in_one()},
    "is not a valid polygon": {"zones": crossing()},
    "the point does not lie on the body": {"at": Place("front", 1, 1)},
}


@pytest.mark.parametrize(("reason", "others"), WRONG.items(), ids=WRONG)
def test_it_refuses(reason, others):
    own.check(pattern(), "own.json")
    with pytest.raises(AtlasError) as problem:
        own.check(pattern(**others), "own.json")
    assert reason in problem.value.reason
    assert problem.value.file == "own.json"
    assert problem.value.entry.startswith(others.get("id", "own_biceps_fold"))


def test_it_refuses_more_than_a_drawing_by_hand_ever_has(monkeypatch):
    monkeypatch.setattr(own, "MOST_POINTS", 50)
    with pytest.raises(AtlasError, match="points; a pattern takes 50"):
        own.check(pattern(), "own.json")
    monkeypatch.setattr(own, "MOST_POLYGONS", 1)
    with pytest.raises(AtlasError, match="2 polygons; a pattern takes 1"):
        own.check(pattern(), "own.json")
