"""A body of boxes, small enough to reckon by hand: two views, six regions a side, three muscles, two roots.

Front (the patient's right has the smaller x), 100 mm squares, right side; the left is its mirror:

    x  200  300  400  500
    0    L    A    A        L arm_lateral, A arm_anterior
    100  L    A    A
    200  t                  t thumb_palmar (20 x 20 at 200, 200)

Back (right has the larger x): L arm_lateral at 700..800, P arm_posterior at 500..700, both 0..200.
"""

from __future__ import annotations

from dataclasses import dataclass

from bodymaps import geometry, skin
from bodymaps.geometry import Area
from bodymaps.marks import Mark
from bodymaps.patterns import Atlas, Dermatome, Innervation, Muscle, Place, Site, Source

TWINS = (("front:arm_lateral", "back:arm_lateral"),)
MIDLINES = {"front": 500.0, "back": 500.0}


@dataclass(frozen=True)
class Region:
    id: str
    view: str
    side: str
    area: Area


def _both(region_id: str, box: Area) -> list[Region]:
    view = region_id.split(":")[0]
    return [
        Region(region_id, view, "right", box),
        Region(region_id, view, "left", geometry.mirrored(box, MIDLINES[view])),
    ]


REGIONS = [
    *_both("front:arm_lateral", geometry.box(200, 0, 300, 200)),
    *_both("front:arm_anterior", geometry.box(300, 0, 500, 200)),
    *_both("front:thumb_palmar", geometry.box(200, 200, 220, 220)),
    *_both("back:arm_lateral", geometry.box(700, 0, 800, 200)),
    *_both("back:arm_posterior", geometry.box(500, 0, 700, 200)),
]
SKIN = skin.folded(REGIONS, TWINS)
OUTLINES = {
    view: geometry.unite(one.area for one in REGIONS if one.view == view) for view in ("front", "back")
}


def muscle(muscle_id: str, *sites: dict[tuple[str, str], Area]) -> Muscle:
    return Muscle(
        id=muscle_id,
        name=muscle_id.replace("_", " "),
        group="arm",
        attachments=("bone",),
        action="moves the arm",
        innervation=Innervation("a nerve", ("C5",)),
        cautions=(),
        commonly_mistaken_for=(),
        sources=(Source("an invented work", "1", "from memory"),),
        sites=tuple(
            Site(f"site{n}", "in the middle", "common", "", Place("front", 350, 50), zones)
            for n, zones in enumerate(sites, start=1)
        ),
    )


def atlas(*muscles: Muscle, dermatomes: tuple[Dermatome, ...] = ()) -> Atlas:
    return Atlas(
        "atlas-test", "toy", {one.id: one for one in muscles}, {one.id: one for one in dermatomes}, MIDLINES
    )


def dermatome(root: str, **areas: Area) -> Dermatome:
    return Dermatome(root, "", "invented", Place("front", 350, 50), "in the middle", areas)


def ache(view: str, area: Area, kind: str = "ache") -> Mark:
    return Mark(view, kind, area)
