"""Random solids and poses for the tests of planner/space."""

from __future__ import annotations

import dataclasses
import math
from collections.abc import Iterable

import numpy as np
from space_referee import Shape

from planner.model.shapes import Box, Cylinder, Outline, Pose, Solid, Tube, Vec


def vec(values: Iterable[float]) -> Vec:
    x, y, z = (float(v) for v in values)
    return (x, y, z)


def random_pose(rng: np.random.Generator, spread_mm: float) -> Pose:
    return Pose(at_mm=vec(rng.uniform(-spread_mm, spread_mm, 3)), turn_deg=vec(rng.uniform(-180.0, 180.0, 3)))


def random_solid(rng: np.random.Generator, kind: str, largest_mm: float = 200.0) -> Solid:
    own = random_pose(rng, 20.0)
    size = rng.uniform(0.02, 1.0, 3) ** 1.5 * largest_mm
    along = str(rng.choice(["x", "y", "z"]))
    if kind == "box":
        return Box(size_mm=vec(size), pose=own)
    if kind == "cylinder":
        return Cylinder(across_mm=float(size[0]), length_mm=float(size[1]), along=along, pose=own)
    if kind == "capsule":
        return Tube(across_mm=float(size[0]) / 2.0, through_mm=(vec(-size / 2.0), vec(size / 2.0)), pose=own)
    count = int(rng.integers(3, 9))
    angles = np.sort(rng.uniform(0.0, 2.0 * math.pi, count))
    while (
        np.max(np.diff(np.append(angles, angles[0] + 2.0 * math.pi))) > 0.95 * math.pi or np.diff(angles).min() < 0.05
    ):
        angles = np.sort(rng.uniform(0.0, 2.0 * math.pi, count))
    points = tuple((float(size[0] * math.cos(t)), float(size[1] * math.sin(t))) for t in angles)
    return Outline(points_mm=points, thick_mm=float(size[2]), along=along, pose=own)


KINDS = ("box", "cylinder", "capsule", "prism")


def quarter_pose(rng: np.random.Generator, spread_mm: float) -> Pose:
    return Pose(
        at_mm=vec(np.round(rng.uniform(-spread_mm, spread_mm, 3), 1)),
        turn_deg=vec(rng.integers(-2, 3, 3) * 90.0),
    )


def flush_pair(
    rng: np.random.Generator, kinds: tuple[str, str], *, square: bool
) -> tuple[tuple[Solid, Pose], tuple[Solid, Pose]]:
    """Two solids in poses that touch without overlapping: they share a point and a plane parts them there.

    ``square``: bolted together face to face along vehicle axes; otherwise turned anyhow, the plane being a face of
    the first one or any direction at all.
    """
    make = quarter_pose if square else random_pose
    plain = [random_solid(rng, kind) for kind in kinds]
    if square:
        plain = [dataclasses.replace(solid, pose=quarter_pose(rng, 20.0)) for solid in plain]
    pose_a, pose_b = make(rng, 500.0), make(rng, 500.0)
    a, b = Shape(plain[0], pose_a), Shape(plain[1], pose_b)
    pick = rng.uniform()
    way = a.turn[:, int(rng.integers(3))] * rng.choice([-1.0, 1.0])
    if not square and pick < 0.5:
        way = rng.normal(size=3)
        way /= np.linalg.norm(way)
    at = np.array(pose_b.at_mm) + a.tip(way, rng) - b.tip(-way, rng)
    return (plain[0], pose_a), (plain[1], Pose(at_mm=vec(at), turn_deg=pose_b.turn_deg))
