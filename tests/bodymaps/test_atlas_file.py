"""The atlas on disk: the compiled file is what the texts say, and a bad file is refused with file, entry,
reason.
"""

from __future__ import annotations

import json
import subprocess
import sys
from collections.abc import Callable
from dataclasses import replace
from functools import cache
from pathlib import Path
from typing import Any

import pytest

from bodymaps import atlas, atlas_file, geometry
from bodymaps.atlas import AtlasError
from bodymaps.making import atlas as making

Data = dict[str, Any]


@cache
def text() -> str:
    return atlas.COMPILED.read_text(encoding="utf-8")


def test_the_committed_file_is_what_the_pattern_files_say(monkeypatch: pytest.MonkeyPatch) -> None:
    """And so no zone of it copies the borders of the regions: no muscle is compiled without being asked."""
    held: list[str] = []
    check_borders = atlas_file.check_borders
    monkeypatch.setattr(
        atlas_file, "check_borders", lambda one, *more: (check_borders(one, *more), held.append(one.id))
    )
    assert making.compiled() == text()
    assert held == list(atlas.load().muscles)


def test_it_holds_the_muscles_of_the_groups_this_release_promises() -> None:
    promised = {"head_neck", "jaw", "shoulder_girdle", "arm", "chest"}
    names = {muscle for muscle, (_, group) in atlas.known_muscles().items() if group in promised}
    assert len(names) == 42
    assert names <= set(atlas.load().muscles)


def test_its_roots_are_c2_to_s4_5_in_order() -> None:
    levels = [*(f"C{n}" for n in range(2, 9)), *(f"T{n}" for n in range(1, 13))]
    levels += [*(f"L{n}" for n in range(1, 6)), "S1", "S2", "S3", "S4_5"]
    assert list(atlas.load().dermatomes) == levels


def test_the_left_muscle_is_the_mirror_of_the_right() -> None:
    held = atlas.load()
    for right, left in zip(
        held.zones("infraspinatus", "right"), held.zones("infraspinatus", "left"), strict=True
    ):
        assert (right.view, right.zone, right.site) == (left.view, left.zone, left.site)
        assert geometry.mirrored(right.area, 500).equals(left.area)


def test_a_zone_that_copies_a_region_is_refused() -> None:
    (muscle, *_) = atlas.load().muscles.values()
    patches = atlas_file.regions_by_view()
    copied = replace(muscle.sites[0], zones={("front", "core"): patches["front"][0]})
    with pytest.raises(AtlasError, match="100% of the edge follows region borders"):
        atlas_file.check_borders(replace(muscle, sites=(copied,)), "compiled.json", patches)


def test_at_most_30_percent_of_an_edge_may_run_within_0_6_mm_of_a_border() -> None:
    assert (atlas_file.BORDER_SHARE, atlas_file.BORDER_REACH_MM) == (0.3, 0.6)


def test_a_zone_that_copies_a_region_is_noticed() -> None:
    region = geometry.box(0, 0, 40, 40)
    assert atlas_file.border_share(region, [region]) == pytest.approx(1)
    assert atlas_file.border_share(geometry.widen(region, -3), [region]) == 0
    assert 0.45 < atlas_file.border_share(geometry.box(0, 0, 30, 20), [region]) < 0.55


# Refusals. Each change to a good file names the entry it spoils and a word of the reason.


def first_muscle(data: Data) -> Data:
    found: Data = data["muscles"][0]
    return found


def first_site(data: Data) -> Data:
    found: Data = first_muscle(data)["sites"][0]
    return found


def first_zone(data: Data) -> Data:
    found: Data = first_site(data)["zones"][0]
    return found


@cache
def first_entries() -> str:
    """The first entry of each list: what is wrong with one is found without the others."""
    whole = json.loads(text())
    return json.dumps({key: value[:1] if isinstance(value, list) else value for key, value in whole.items()})


def spoil(change: Callable[[Data], object]) -> str:
    data = json.loads(first_entries())
    change(data)
    return json.dumps(data)


def test_what_is_spoilt_below_is_good_before() -> None:
    held = atlas_file.read(spoil(lambda data: None), "my.json")
    assert [len(one) for one in (held.muscles, held.dermatomes)] == [1, 1]
    assert sum(len(layer) for layer in held.structures.values()) == 1


BOW_TIE = [[[[300, 300], [340, 340], [340, 300], [300, 340], [300, 300]]]]
BESIDE = [[[[0, 0], [40, 0], [40, 40], [0, 40], [0, 0]]]]

CHANGES: list[tuple[Callable[[Data], object], str, str]] = [
    (lambda d: d.update(version="atlas-0"), "version", "atlas-2"),
    (lambda d: d.update(figure="figure-0"), "figure", "another figure"),
    (lambda d: d.update(muscles={}), "file", "not a list"),
    (lambda d: d["muscles"].append(d["muscles"][0]), "trapezius_upper", "twice"),
    (lambda d: first_muscle(d).update(id="musculus_novus"), "musculus_novus", "not a muscle"),
    (lambda d: first_muscle(d).update(sources=[]), "trapezius_upper", "no source"),
    (lambda d: first_muscle(d)["sources"][0].update(work=" "), "trapezius_upper", "work"),
    (lambda d: first_muscle(d)["sources"][0].pop("chapter"), "trapezius_upper", "chapter"),
    (lambda d: first_muscle(d)["sources"][0].update(status="sure"), "trapezius_upper", "status"),
    (lambda d: first_muscle(d)["innervation"].update(roots=["C9"]), "trapezius_upper", "C9"),
    (lambda d: first_muscle(d).update(sites=[]), "trapezius_upper", "no site"),
    (lambda d: first_site(d).update(how_common="always"), "trapezius_upper, site", "always"),
    (lambda d: first_site(d).update(id="all"), "trapezius_upper, site all", "kept"),
    (lambda d: first_site(d).update(id="Upper belly"), "trapezius_upper, site", "lower case"),
    (lambda d: first_site(d).update(where=""), "trapezius_upper, site", "where"),
    (lambda d: first_site(d).update(at={"view": "front", "x": 1, "y": 1}), "trapezius_upper, site", "body"),
    (lambda d: first_site(d).update(zones=[]), "trapezius_upper, site", "no core"),
    (lambda d: first_site(d)["zones"].append(first_zone(d)), "trapezius_upper, site", "twice"),
    (lambda d: first_zone(d).update(view="side"), "trapezius_upper, site", "view"),
    (lambda d: first_zone(d).update(zone="middle"), "trapezius_upper, site", "zone"),
    (lambda d: first_zone(d).update(area=BOW_TIE), "trapezius_upper, site", "valid"),
    (lambda d: first_zone(d).update(area=BESIDE), "trapezius_upper, site", "outline"),
    (lambda d: first_zone(d).update(area=[]), "trapezius_upper, site", "no area"),
    (lambda d: first_zone(d).update(area=[[[1, 2]]]), "trapezius_upper, site", "polygons"),
    (lambda d: d["dermatomes"][0].update(source=""), "C2", "source"),
    (lambda d: d["dermatomes"][0].update(id="C99"), "C99", "nerve root"),
    (lambda d: d["dermatomes"][0]["key_point"].update(x=500, y=900), "C2", "key point"),
    (lambda d: d["dermatomes"][0]["areas"][0].update(area=BESIDE), "C2", "outline"),
]


@pytest.mark.parametrize(("change", "entry", "reason"), CHANGES)
def test_a_bad_file_is_refused_with_file_entry_and_reason(
    change: Callable[[Data], object], entry: str, reason: str
) -> None:
    with pytest.raises(AtlasError) as caught:
        atlas_file.read(spoil(change), "my.json")
    assert caught.value.file == "my.json"
    assert entry in caught.value.entry
    assert reason in f"{caught.value.entry} {caught.value.reason}"


def test_core_and_spillover_may_not_overlap() -> None:
    def double(data: Data) -> None:
        zones = first_site(data)["zones"]
        core = next(zone for zone in zones if zone["zone"] == "core")
        zones[:] = [core, {**core, "zone": "spillover"}]

    with pytest.raises(AtlasError, match="core and spillover share"):
        atlas_file.read(spoil(double), "my.json")


@pytest.mark.parametrize("broken", ["", "[]", "{", "null", '{"version": "atlas-1"}'])
def test_what_is_no_atlas_is_refused(broken: str) -> None:
    with pytest.raises(AtlasError):
        atlas_file.read(broken, "my.json")


# The quick check of one pattern file.

PATTERN = """
id = "anconeus"
name = "anconeus"
attachments = ["lateral epicondyle", "olecranon"]
action = "straightens the elbow"
innervation = { nerve = "radial nerve", roots = ["C7", "C8"] }
cautions = []
commonly_mistaken_for = []
synergists = ["triceps_brachii"]
often_with = []
brings_on = ["leaning on the elbow"]
eases = ["rest"]
position = "forearm on the table"
find = "flat palpation beside the olecranon"
depth = "just under the skin"
neighbours = ["extensor carpi ulnaris"]
[[at_risk]]
structure = "none"
words = "nothing of note at this depth"
source = "from memory"
[[source]]
work = "an invented work"
chapter = "1"
status = "from memory"
[[site]]
id = "belly"
where = "just below the elbow"
at = { view = "back", point = "lateral_epicondyle" }
how_common = "rare"
core = [{ view = "back", shape = "patch", at = "lateral_epicondyle", size = [30, 30] }]
"""


def test_a_good_pattern_file_passes_the_quick_check(tmp_path: Path) -> None:
    path = tmp_path / "anconeus.toml"
    path.write_text(PATTERN)
    done = subprocess.run(
        [sys.executable, "-m", "bodymaps.making.atlas", "--check", str(path)],
        capture_output=True,
        text=True,
        check=False,
        cwd=atlas.FOLDER.parents[2],
    )
    assert (done.returncode, done.stdout.strip()) == (0, "anconeus.toml: good (1 sites)")


@pytest.mark.parametrize(
    ("old", "new", "named"),
    [
        (
            'at = "lateral_epicondyle", size',
            'at = "lateral_epicondile", size',
            "core shape 1: the back view has no",
        ),
        ("how_common", "how_often", "site belly: how_common is missing"),
        ('id = "belly"', 'id = "belly"\ncolour = "red"', "site belly: unknown word colour"),
        ('id = "anconeus"', 'id = "triceps_brachii"', "is not the name of the file"),
        ("[[source]]", "[[site]]", "anconeus.toml"),
        ("action =", "action", "is not TOML"),
        ('["triceps_brachii"]', '["tricepps"]', "synergists: 'tricepps' is not another muscle"),
        ('"none"', '"artery"', "at_risk: structure 'artery' is not pleura"),
        ('"none"', '"pleura"', "needs two sources"),
        ('eases = ["rest"]', "eases = []", "eases is empty"),
        ('find = "flat', 'finding = "flat', "find is missing"),
        ("size = [30, 30]", "size = [30]", "core shape 1: patch: size"),
    ],
)
def test_a_bad_pattern_file_is_named_with_entry_and_word(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], old: str, new: str, named: str
) -> None:
    path = tmp_path / "anconeus.toml"
    path.write_text(PATTERN.replace(old, new, 1))
    assert making.main(["--check", str(path)]) == 1
    said = capsys.readouterr().err
    assert named in said
    assert said.count("\n") == 1
