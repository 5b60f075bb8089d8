"""Own patterns in a file: what is written is read again, and what is wrong is named."""

import json

import pytest

from bodymaps import own_file
from bodymaps.patterns import AtlasError, Place
from tests.bodymaps.test_own import pattern


def data(*patterns) -> dict:
    return json.loads(own_file.write(patterns or [pattern()]))


def read(changed) -> tuple:
    return own_file.read(json.dumps(changed), "own.json")


def test_it_reads_what_it_wrote_to_the_last_point():
    x, y = 331.25, 540.0
    written = [pattern(id="infraspinatus", version=2, site="Below the spine"), pattern(at=None)]
    text = own_file.write(written)
    [muscle, new] = own_file.read(text, "own.json")
    assert (muscle, new) == tuple(written)
    assert own_file.write([new, muscle]) == text
    assert own_file.place_from({"view": "front", "x": x, "y": y}, "f", "e") == Place("front", x, y)


def entry(**others) -> dict:
    changed = data()
    changed["patterns"][0] |= others
    return changed


def zone(**others) -> dict:
    changed = data()
    changed["patterns"][0]["zones"][0] |= others
    return changed


SQUARE = [[300, 500], [320, 500], [320, 520], [300, 520], [300, 500]]
WRONG = {
    "format": ({**data(), "format": "own-patterns-0"}, "format", "is not own-patterns-1"),
    "figure": ({**data(), "figure": "figure-0"}, "figure", "drawn on another figure"),
    "no list": ({**data(), "patterns": {}}, "file", "patterns is not a list"),
    "no object": ({**data(), "patterns": [7]}, "entry 1", "id is missing"),
    "no id": (entry(id=""), "entry 1", "id is missing"),
    "unknown member": (entry(colour="red"), "own_biceps_fold", "members that are not known: colour"),
    "version": (entry(version="2"), "own_biceps_fold", "version is not a whole number"),
    "version true": (entry(version=True), "own_biceps_fold", "version is not a whole number"),
    "site": (entry(site=7), "own_biceps_fold", "site is not a text"),
    "source": (entry(source=None), "own_biceps_fold", "work is missing"),
    "reason": (entry(reason=None), "own_biceps_fold", "reason is missing"),
    "at": (entry(at={"view": "front", "x": "1", "y": 2}), "own_biceps_fold", "at needs a view"),
    "zones": (entry(zones=[3]), "own_biceps_fold", "zones is not a list of objects"),
    "view": (zone(view="side"), "own_biceps_fold", "no known view and zone"),
    "rings": (zone(area=[[[[1, 2], [3]]]]), "own_biceps_fold, core front", "is not a list of polygons"),
    "text": (zone(area=[[[["1", 2]] * 4]]), "own_biceps_fold, core front", "is not a list of polygons"),
    "far": (zone(area=[[[[1e300, 2]] * 4]]), "own_biceps_fold, core front", "is not a list of polygons"),
    "empty": (zone(area=[]), "own_biceps_fold, core front", "has no area"),
    "id": (entry(id="no_such_muscle"), "no_such_muscle", "is no muscle of the atlas"),
}


@pytest.mark.parametrize(("changed", "name", "reason"), WRONG.values(), ids=WRONG)
def test_it_refuses_with_file_entry_and_reason(changed, name, reason):
    with pytest.raises(AtlasError) as problem:
        read(changed)
    assert problem.value.file == "own.json"
    assert problem.value.entry == name
    assert reason in problem.value.reason


@pytest.mark.parametrize("text", ["", "{", "[1]", '{"format": NaN}', "[" * 100_000])
def test_it_refuses_what_is_no_such_file(text):
    with pytest.raises(AtlasError):
        own_file.read(text, "own.json")


def test_it_refuses_a_file_that_is_too_large(monkeypatch):
    monkeypatch.setattr(own_file, "MOST_BYTES", 1024 * 1024)
    with pytest.raises(AtlasError, match="larger than 1 MB"):
        own_file.read(" " * (1024 * 1024 + 1), "own.json")
    monkeypatch.setattr(own_file, "MOST_PATTERNS", 0)
    with pytest.raises(AtlasError, match="holds 1 patterns; it takes 0"):
        read(data())


def test_it_reads_every_entry_by_itself():
    changed = data()
    good = changed["patterns"][0]
    changed["patterns"] = [{**good, "reason": ""}, good, good, {**good, "id": "x"}]
    found = own_file.inspect(json.dumps(changed), "own.json")
    assert [one.id for one in found.patterns] == ["own_biceps_fold"]
    said = [(problem.entry, problem.reason.split(";")[0]) for problem in found.refused]
    assert said == [
        ("own_biceps_fold", "reason is missing"),
        ("own_biceps_fold", "is there twice"),
        ("x", "is no muscle of the atlas"),
    ]
