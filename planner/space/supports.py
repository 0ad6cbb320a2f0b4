"""What batches of pieces are judged by from outside: how far each reaches along fixed directions."""

from __future__ import annotations

import math

import numpy as np

from planner.space.frames import FloatArray
from planner.space.pieces import Hull, Piece
from planner.space.vectors import sphere_directions

_CUBE = 1.0 / math.sqrt(3.0)
_LEVEL = 1e-9
_SPREAD = 200
"""Directions spread over half a sphere."""


def _fixed_directions() -> FloatArray:
    """The three axes first, then a fan in each plane square to an axis, then the diagonals of a cube."""
    fan = [math.radians(a) for a in (45.0, 135.0, 22.5, 67.5, 112.5, 157.5)]
    flat = [(math.cos(a), math.sin(a)) for a in fan]
    planes = [(0.0, u, v) for u, v in flat] + [(u, 0.0, v) for u, v in flat] + [(u, v, 0.0) for u, v in flat]
    corners = [(_CUBE, y * _CUBE, z * _CUBE) for y in (-1.0, 1.0) for z in (-1.0, 1.0)]
    return np.array([*np.eye(3).tolist(), *planes, *corners])


DIRECTIONS: FloatArray = _fixed_directions()
"""Unit directions (k, 3) along which every piece's extent is known; the first three are the axes."""


def _round_directions() -> FloatArray:
    """A fan every 5 degrees in each plane square to an axis, and an even spread between: for round pieces."""
    angles = np.radians(np.arange(0.0, 180.0, 5.0))
    u, v, none = np.cos(angles), np.sin(angles), np.zeros(len(angles))
    fans = [np.column_stack(columns) for columns in ((none, u, v), (u, none, v), (u, v, none))]
    return np.vstack([*fans, sphere_directions(2 * _SPREAD)[len(np.eye(3)) * 2 :][:_SPREAD]])


ROUND_DIRECTIONS: FloatArray = _round_directions()
"""Unit directions (k, 3), about 8 degrees apart and less near the axes' planes, each standing for its opposite too."""


def extents_of(piece: Piece, directions: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Least and greatest coordinate (n,) [mm] of a whole piece, its ball included, along unit ``directions`` (n, 3)."""
    low, high = piece.span(directions)
    return low - piece.ball_mm, high + piece.ball_mm


def own_directions(hull: Hull) -> FloatArray:
    """Unit directions (n, 3) that part a hull from others best: its faces, and its edges seen along each axis."""
    edges = hull.edges
    crosses = [np.stack([np.zeros(len(edges)), edges[:, 2], -edges[:, 1]], axis=1),
               np.stack([-edges[:, 2], np.zeros(len(edges)), edges[:, 0]], axis=1),
               np.stack([edges[:, 1], -edges[:, 0], np.zeros(len(edges))], axis=1)]  # fmt: skip
    return np.vstack([hull.faces, _askew(np.vstack(crosses))])


def _askew(crosses: FloatArray) -> FloatArray:
    """Cross products (n, 3) of unit vectors at length 1, without those of two that are level with each other."""
    lengths = np.sqrt(np.einsum("ij,ij->i", crosses, crosses))
    kept = lengths > _LEVEL
    unit: FloatArray = crosses[kept] / lengths[kept, None]
    return unit


def parting_directions(a: Hull, b: Hull) -> FloatArray:
    """Unit directions (n, 3) along one of which two hulls that overlap are as deep as they are (separating axes)."""
    (ax, ay, az), (bx, by, bz) = a.edges.T[:, :, None], b.edges.T[:, None, :]
    crosses = np.stack([ay * bz - az * by, az * bx - ax * bz, ax * by - ay * bx], axis=-1).reshape(-1, 3)
    return np.vstack([a.faces, b.faces, _askew(crosses)])
