"""What body stands on the chart: its build, its pose, and what is smoothed away.

Every step takes a Mesh and gives a Mesh. The patient's right half is worked on and mirrored at the end,
so that the two halves are equal to the last bit.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from pathlib import Path

import numpy as np

from bodymaps.making import mesh
from bodymaps.making.mesh import Mesh

STATURE = 1700.0

# An even blend of the male and the female build, young adult, with a little more muscle than average so
# that the relief gives the clinician something to aim at. Ancestries in equal parts.
BUILDS = {"averagemuscle-averageweight": 0.72, "maxmuscle-averageweight": 0.28}
ANCESTRIES = ("african", "asian", "caucasian")
SEXES = ("male", "female")

# Degrees. The rest pose of the mesh holds the arms out and the feet apart; the chart wants the anatomical
# position: arms beside the trunk with a clear gap, feet below the hips, palms forward.
ARM_LOWERING = 24.0
CLAVICLE_LOWERING = 2.0
FOREARM_TWIST = 100.0
ELBOW_STRAIGHTENING = 0.85
FINGER_FLATTENING = 0.85
THUMB_CLOSING = 15.0
LEG_CLOSING = 4.0
TOE_SPREADING = {1: 2.0, 2: -1.0, 3: -3.0, 4: -7.0, 5: -15.0}
FOOT_LEVELLING = 3.0

# Lengthening along the limb, so that the segments meet the published fractions of stature (tests name them).
UPPER_ARM_STRETCH = 1.12
FOREARM_STRETCH = 1.03

# Smoothing: factor on the weight of the breast bone, rounds of relaxation.
CHEST_REACH, CHEST_ROUNDS = 2.0, 60


def build(folder: Path) -> Mesh:
    """The finished body in mesh units, standing on its feet. Raises MeshMissing."""
    body = mesh.read(folder)
    for step in (blended(folder), *STEPS):
        body = step(body)
    return body


def blended(folder: Path) -> Callable[[Mesh], Mesh]:
    def step(body: Mesh) -> Mesh:
        count = len(body.points)
        points = body.points.copy()
        for sex in SEXES:
            for ancestry in ANCESTRIES:
                share = 1 / len(SEXES) / len(ANCESTRIES)
                points += share * mesh.target(folder, f"macrodetails/{ancestry}-{sex}-young", count)
            for build_name, share in BUILDS.items():
                name = f"macrodetails/universal-{sex}-young-{build_name}"
                points += share / len(SEXES) * mesh.target(folder, name, count)
        return body.moved(points)

    return step


def turned(
    body: Mesh, pivot: np.ndarray, axis: np.ndarray | Sequence[float], degrees: float, weight: np.ndarray
) -> Mesh:
    """Rotate each point about an axis through pivot by degrees times its weight (Rodrigues' formula)."""
    unit = np.asarray(axis, float) / np.linalg.norm(axis)
    offset = body.points - pivot
    angle = np.radians(degrees) * weight[:, None]
    along = (offset @ unit)[:, None] * unit
    points = offset * np.cos(angle) + np.cross(unit, offset) * np.sin(angle) + along * (1 - np.cos(angle))
    return body.moved(points + pivot)


def stretched(body: Mesh, start: np.ndarray, end: np.ndarray, factor: float, weight: np.ndarray) -> Mesh:
    """Lengthen what lies between start and end; what hangs beyond moves along unchanged."""
    length = np.linalg.norm(end - start)
    axis = (end - start) / length
    along = np.clip((body.points - start) @ axis, 0, length)
    return body.moved(body.points + (factor - 1) * (along * weight)[:, None] * axis)


def arm_straightened(body: Mesh) -> Mesh:
    """Lengthened, palm turned forward, elbow nearly straight, fingers nearly flat."""
    shoulder, elbow, wrist = (body.joint(f"r-{name}") for name in ("shoulder", "elbow", "hand"))
    body = stretched(body, elbow, wrist, FOREARM_STRETCH, body.limb("lowerarm01.R"))
    body = stretched(body, shoulder, elbow, UPPER_ARM_STRETCH, body.limb("upperarm01.R"))
    elbow, wrist = body.joint("r-elbow"), body.joint("r-hand")
    twist = 0.15 * body.weights["lowerarm01.R"] + 0.6 * body.weights["lowerarm02.R"] + body.limb("wrist.R")
    body = turned(body, elbow, wrist - elbow, FOREARM_TWIST, twist)
    shoulder, elbow, wrist = (body.joint(f"r-{name}") for name in ("shoulder", "elbow", "hand"))
    upper, lower = elbow - shoulder, wrist - elbow
    axis = np.cross(lower, upper)
    bend = np.degrees(np.arcsin(np.linalg.norm(axis) / np.linalg.norm(upper) / np.linalg.norm(lower)))
    return turned(body, elbow, axis, ELBOW_STRAIGHTENING * bend, body.limb("lowerarm01.R"))


def hand_opened(body: Mesh) -> Mesh:
    """Fingers laid into the plane of the view; the thumb brought nearer to the index finger."""
    for finger in (2, 3, 4, 5):
        for link in (1, 2, 3):
            here, there = (body.joint(f"r-finger-{finger}-{link + k}") for k in (0, 1))
            reach = there - here
            lift = np.degrees(np.arctan2(reach[2], np.hypot(reach[0], reach[1])))
            axis = np.cross(reach, [0, 0, 1])
            bone = body.limb(f"finger{finger}-{link}.R")
            body = turned(body, here, axis, -FINGER_FLATTENING * lift, bone)
    return turned(body, body.joint("r-finger-1-1"), [0, 0, 1], THUMB_CLOSING, body.limb("finger1-1.R"))


def arm_lowered(body: Mesh) -> Mesh:
    body = turned(body, body.joint("r-clavicle"), [0, 0, 1], CLAVICLE_LOWERING, body.limb("clavicle.R"))
    return turned(body, body.joint("r-shoulder"), [0, 0, 1], ARM_LOWERING, body.limb("upperarm01.R"))


def legs_closed(body: Mesh) -> Mesh:
    body = turned(body, body.joint("r-upper-leg"), [0, 0, 1], LEG_CLOSING, body.limb("upperleg01.R"))
    return turned(body, body.joint("r-ankle"), [0, 0, 1], -FOOT_LEVELLING, body.limb("foot.R"))


def toes_spread(body: Mesh) -> Mesh:
    """A hair between the toes, so that each can be drawn on."""
    for toe, degrees in TOE_SPREADING.items():
        pivot = body.joint(f"r-toe-{toe}-1")
        body = turned(body, pivot, [0, 1, 0], degrees, body.limb(f"toe{toe}-1.R"))
    return body


def calmed(body: Mesh) -> Mesh:
    """The chest smoothed, so that the figure is of neither sex; what is left of it the relief blurs."""
    breast = body.weights["breast.R"] + body.weights["breast.L"]
    chest = np.clip(CHEST_REACH * breast, 0, 1)
    return body.moved(relaxed(body.points, body.quads, chest, CHEST_ROUNDS))


def relaxed(points: np.ndarray, quads: np.ndarray, weight: np.ndarray, rounds: int) -> np.ndarray:
    """Each point drawn toward the mean of its neighbours, by its weight, so many times."""
    edges = np.unique(np.sort(np.stack([quads, np.roll(quads, -1, 1)], -1).reshape(-1, 2), 1), axis=0)
    both = np.concatenate([edges, edges[:, ::-1]])
    both = both[both[:, 0] != both[:, 1]]
    count = np.maximum(np.bincount(both[:, 0], minlength=len(points)), 1)[:, None]
    for _ in range(rounds):
        mean = _sums(both[:, 0], points[both[:, 1]], len(points)) / count
        points = points + 0.7 * weight[:, None] * (mean - points)
    return points


def mirrored(body: Mesh) -> Mesh:
    """The left half (x > 0) becomes the mirror of the right; the midline stays on x = 0."""
    points = body.points.copy()
    right = points[:, 0] <= 0
    left = ~right & right[body.mirror]
    points[left] = points[body.mirror[left]] * [-1, 1, 1]
    points[body.mirror == np.arange(len(points)), 0] = 0
    return body.moved(points)


# In this order: what hangs on a joint moves with it, so the hand is opened before the arm is lowered.
STEPS = (arm_straightened, hand_opened, arm_lowered, legs_closed, toes_spread, calmed, mirrored)


def subdivided(points: np.ndarray, quads: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """One Catmull-Clark step: four quads for each, on the smooth surface. Open edges keep their course."""
    used, faces = np.unique(quads, return_inverse=True)
    corners, faces = points[used], faces.reshape(quads.shape)
    count = len(corners)
    face_points = corners[faces].mean(1)
    half_edges = np.sort(np.stack([faces, np.roll(faces, -1, 1)], -1).reshape(-1, 2), 1)
    edges, edge_of = np.unique(half_edges, axis=0, return_inverse=True)
    edge_of = edge_of.reshape(-1)
    face_of = np.repeat(np.arange(len(faces)), 4)
    shared = np.bincount(edge_of, minlength=len(edges))
    middles = corners[edges].mean(1)
    around = _sums(edge_of, face_points[face_of], len(edges)) / shared[:, None]
    edge_points = np.where(shared[:, None] == 2, (middles + around) / 2, middles)
    valence = np.bincount(faces.reshape(-1), minlength=count)[:, None]
    faces_mean = _sums(faces.reshape(-1), np.repeat(face_points, 4, 0), count) / valence
    edge_count = np.bincount(edges.reshape(-1), minlength=count)[:, None]
    edges_mean = _sums(edges.reshape(-1), np.repeat(middles, 2, 0), count) / edge_count
    moved = (faces_mean + 2 * edges_mean + (valence - 3) * corners) / np.maximum(valence, 1)
    rim = np.unique(edges[shared == 1])
    moved[rim] = corners[rim]
    e = (count + len(faces) + edge_of).reshape(-1, 4)
    f = count + np.arange(len(faces))
    new = [np.stack([faces[:, k], e[:, k], f, e[:, k - 1]], 1) for k in range(4)]
    return np.concatenate([moved, face_points, edge_points]), np.concatenate(new)


def _sums(index: np.ndarray, values: np.ndarray, count: int) -> np.ndarray:
    return np.stack([np.bincount(index, values[:, k], count) for k in range(values.shape[1])], 1)
