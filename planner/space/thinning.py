"""Few of the corners of a convex hull, and the ball that makes up for those left out."""

from __future__ import annotations

import manifold3d
import numpy as np

from planner.space.frames import FloatArray
from planner.space.vectors import sphere_directions

MANY = 120
"""A hull of more corners than this is thinned: every pair of edges of two hulls may be what parts them."""
BALL_MM = 0.5
"""Thinning keeps more corners rather than leave one out that is farther than this from the rest."""

_MOST = 480
_SHARES = (-0.6, 0.6)
_SAME_MM = 1e-9


def thinned(corners_mm: FloatArray) -> tuple[FloatArray, float]:
    """Some of the corners (n, 3) of a convex hull, and how far [mm] the others are from the hull of those at most.

    Growing the hull of the chosen ones by a ball of that radius holds all of them.
    """
    if len(corners_mm) <= MANY:
        return corners_mm, 0.0
    count = MANY
    while True:
        ways = sphere_directions(count - 6)
        chosen = corners_mm[np.unique(np.argmax(corners_mm @ ways.T, axis=0))]
        ball_mm = _farthest_mm(corners_mm, chosen)
        if ball_mm <= BALL_MM or count >= _MOST:
            return chosen, ball_mm
        count *= 2


def _farthest_mm(points: FloatArray, chosen: FloatArray) -> float:
    """Bound [mm] of the distance of any of ``points`` (n, 3) from the hull of ``chosen`` (m, 3).

    The straight line from a point to any place inside the hull enters it where it has sunk below the last face; the
    least way there of several places inside bounds the distance.
    """
    mesh = manifold3d.Manifold.hull_points(chosen).to_mesh64()
    corners = np.asarray(mesh.vert_properties, dtype=np.float64)[:, :3]
    a, b, c = np.moveaxis(corners[np.asarray(mesh.tri_verts, dtype=np.int64)], 1, 0)
    normals = np.cross(b - a, c - a)
    normals /= np.maximum(np.linalg.norm(normals, axis=1), _SAME_MM)[:, None]
    offsets = np.einsum("ij,ij->i", normals, a)
    above = np.maximum(points @ normals.T - offsets, 0.0)
    outside = above.max(axis=1) > _SAME_MM
    points, above = points[outside], above[outside]
    ways = np.full(len(points), np.inf)
    for inside in _places_inside(corners):
        depth = offsets - normals @ inside
        if depth.min() > _SAME_MM:
            shares = (above / (above + depth)).max(axis=1)
            ways = np.minimum(ways, shares * np.linalg.norm(points - inside, axis=1))
    return float(ways.max(initial=0.0))


def _places_inside(corners: FloatArray) -> FloatArray:
    """Places (n, 3) on the three main axes of a hull, most of them inside it."""
    middle = corners.mean(axis=0)
    away = corners - middle
    axes = np.linalg.eigh(away.T @ away)[1].T
    half = np.ptp(away @ axes.T, axis=0) / 2.0
    return np.vstack([middle, *(middle + share * half[:, None] * axes for share in _SHARES)])
