"""How large a part is in its own frame, from its solids."""

from __future__ import annotations

import math
from collections.abc import Iterable

from planner.model.shapes import Box, Cylinder, Mesh, Outline, Pose, Solid, Vec

_AXES = {"x": (0, 1, 2), "y": (1, 0, 2), "z": (2, 0, 1)}
"""Axis by name, then the two others in order."""


def extent_mm(solids: Iterable[Solid]) -> float:
    """Find the longest side of the box round several solids [mm]."""
    corners = [corner for solid in solids for corner in holding_corners(solid)]
    if not corners:
        return 0.0
    return max(max(c[axis] for c in corners) - min(c[axis] for c in corners) for axis in range(3))


def holding_corners(solid: Solid) -> list[Vec]:
    """Points of the solid that span it, in the part's frame: its corners, or the line of a tube."""
    if isinstance(solid, Box):
        halves = _halves(solid.size_mm)
    elif isinstance(solid, Cylinder):
        axis, *others = _AXES[solid.along]
        sizes = [0.0, 0.0, 0.0]
        sizes[axis] = solid.length_mm
        for other in others:
            # The inscribed square has its corners on the round face: no turned bar is ever called too long.
            sizes[other] = solid.across_mm / math.sqrt(2)
        halves = _halves((sizes[0], sizes[1], sizes[2]))
    elif isinstance(solid, Outline):
        halves = _plate(solid)
    elif isinstance(solid, Mesh):
        halves = list(solid.surface.corners_mm)
    else:
        halves = list(solid.through_mm)
    return [posed(point, solid.pose) for point in halves]


def _halves(size: Vec) -> list[Vec]:
    x, y, z = (s / 2 for s in size)
    return [(i * x, j * y, k * z) for i in (-1, 1) for j in (-1, 1) for k in (-1, 1)]


def _plate(solid: Outline) -> list[Vec]:
    axis, first, second = _AXES[solid.along]
    corners = []
    for a, b in solid.points_mm:
        for side in (-1, 1):
            point = [0.0, 0.0, 0.0]
            point[axis], point[first], point[second] = side * solid.thick_mm / 2, a, b
            corners.append((point[0], point[1], point[2]))
    return corners


def posed(point: Vec, pose: Pose) -> Vec:
    """``point`` turned about x, then y, then z, and shifted."""
    x, y, z = point
    a, b, c = (math.radians(t) for t in pose.turn_deg)
    y, z = y * math.cos(a) - z * math.sin(a), y * math.sin(a) + z * math.cos(a)
    x, z = x * math.cos(b) + z * math.sin(b), -x * math.sin(b) + z * math.cos(b)
    x, y = x * math.cos(c) - y * math.sin(c), x * math.sin(c) + y * math.cos(c)
    return (x + pose.at_mm[0], y + pose.at_mm[1], z + pose.at_mm[2])


def to_own_frame(point: Vec, pose: Pose) -> Vec:
    """``point``, given in the frame around ``pose``, in the frame that it sets down."""
    x, y, z = (p - a for p, a in zip(point, pose.at_mm, strict=True))
    a, b, c = (-math.radians(t) for t in pose.turn_deg)
    x, y = x * math.cos(c) - y * math.sin(c), x * math.sin(c) + y * math.cos(c)
    x, z = x * math.cos(b) + z * math.sin(b), -x * math.sin(b) + z * math.cos(b)
    y, z = y * math.cos(a) - z * math.sin(a), y * math.sin(a) + z * math.cos(a)
    return (x, y, z)
