"""The outline a body shows when it is looked at from the side, from above or from the front."""

from __future__ import annotations

import math
from enum import StrEnum

import manifold3d
import numpy as np

from planner.model.shapes import Vec
from planner.space.body import Body
from planner.space.frames import FloatArray
from planner.space.pieces import Bar, Piece

Polygon = tuple[tuple[float, float], ...]
"""Corners of a closed polygon in the plane of an elevation [mm], the last joined to the first."""

_ROUND_SIDES = 64
"""Sides of a drawn circle; its corners lie on the true circle, so that it is at most 0.16 % too small."""
_SPARE_MM = 1e-4
"""Corners nearer than this to the line past them are left out."""


class Elevation(StrEnum):
    """A flat view of the vehicle along one of its axes."""

    SIDE = "side"
    """From the right of the vehicle: its front is on the right of the paper."""
    PLAN = "plan"
    """From above: its front is on the right of the paper, its left side on top."""
    FRONT = "front"
    """From ahead of it: its left side is on the right of the paper."""

    @property
    def rightward(self) -> Vec:
        """Vehicle axes direction that points to the right on the paper."""
        return _AXES[self][0]

    @property
    def upward(self) -> Vec:
        """Vehicle axes direction that points up on the paper."""
        return _AXES[self][1]

    @property
    def nearward(self) -> Vec:
        """Vehicle axes direction that points from the vehicle to the eye."""
        return _AXES[self][2]

    def flat(self, point_mm: Vec) -> tuple[float, float]:
        """Where a point (vehicle axes) lies on the paper: to the right and up [mm]."""
        return _along(point_mm, self.rightward), _along(point_mm, self.upward)

    def near_mm(self, point_mm: Vec) -> float:
        """How near a point lies to the eye; greater is nearer [mm]."""
        return _along(point_mm, self.nearward)


_AXES: dict[Elevation, tuple[Vec, Vec, Vec]] = {
    Elevation.SIDE: ((-1.0, 0.0, 0.0), (0.0, 0.0, 1.0), (0.0, 1.0, 0.0)),
    Elevation.PLAN: ((-1.0, 0.0, 0.0), (0.0, -1.0, 0.0), (0.0, 0.0, 1.0)),
    Elevation.FRONT: ((0.0, -1.0, 0.0), (0.0, 0.0, 1.0), (-1.0, 0.0, 0.0)),
}


def _along(point: Vec, axis: Vec) -> float:
    # The sum begins at +0.0, so that no -0.0 comes out.
    return 0.0 + point[0] * axis[0] + point[1] * axis[1] + point[2] * axis[2]


def silhouette(body: Body, view: Elevation) -> tuple[Polygon, ...]:
    """Closed polygons of the shadow of a body, in the plane of the elevation (right, up) [mm].

    The shadow is the union of the shadows of its convex pieces: outer rims run anticlockwise, rims of holes
    clockwise. Flat faces are exact; round ones are polygons of ``_ROUND_SIDES`` corners on the true circle.
    """
    plane = np.array([view.rightward, view.upward]).T
    shadows = [
        manifold3d.CrossSection.hull_points(np.ascontiguousarray(_shadow_points(piece, plane) + place @ plane))
        for piece, place in zip(body.pieces, body.places, strict=True)
    ]
    whole = manifold3d.CrossSection.batch_boolean(shadows, manifold3d.OpType.Add).simplify(_SPARE_MM)
    rims = (_from_lowest(rim) for rim in whole.to_polygons())
    return tuple(sorted(rims, key=lambda rim: (rim[0], len(rim))))


def near_mm(body: Body, view: Elevation) -> float:
    """How near the nearest point of a body is to the eye of an elevation; greater is nearer [mm]."""
    return max(view.near_mm(body.lo_mm), view.near_mm(body.hi_mm))


def _shadow_points(piece: Piece, plane: FloatArray) -> FloatArray:
    """Points (n, 2) [mm] whose hull is the shadow of a piece about its own origin."""
    solid = piece.ring_points_mm(_ROUND_SIDES, piece.radius_mm) if isinstance(piece, Bar) else piece.points_mm
    points: FloatArray = solid @ plane
    if piece.ball_mm <= 0.0:
        return points
    angles = np.arange(_ROUND_SIDES) * (2.0 * math.pi / _ROUND_SIDES)
    rim = piece.ball_mm * np.column_stack([np.cos(angles), np.sin(angles)])
    grown: FloatArray = (points[:, None, :] + rim[None, :, :]).reshape(-1, 2)
    return grown


def _from_lowest(rim: FloatArray) -> Polygon:
    """The rim as tuples, begun at its least corner, whatever corner the library began at."""
    corners = [(float(u), float(v)) for u, v in rim]
    first = corners.index(min(corners))
    return (*corners[first:], *corners[:first])
