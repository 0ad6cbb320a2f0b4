"""How far places are from triangles."""

from __future__ import annotations

import numpy as np

from planner.space.frames import FloatArray

_TINY = 1e-18
_AT_ONCE = 200_000


def from_triangles(points: FloatArray, triangles: FloatArray) -> FloatArray:
    """Distance (n,) [mm] of each point (n, 3) from the nearest of triangles (t, 3, 3): a side, or straight below."""
    some = max(1, _AT_ONCE // len(triangles))
    least = [_squares(points[k : k + some], triangles).min(axis=1) for k in range(0, len(points), some)]
    distances: FloatArray = np.sqrt(np.maximum(0.0, np.concatenate(least)))
    return distances


def _squares(points: FloatArray, triangles: FloatArray) -> FloatArray:
    """Squares (n, t) [mm2] of the distances of points (n, 3) from triangles (t, 3, 3)."""
    middle = triangles.reshape(-1, 3).mean(axis=0)
    points, triangles = points - middle, triangles - middle
    a, ab, ac = triangles[:, 0], triangles[:, 1] - triangles[:, 0], triangles[:, 2] - triangles[:, 0]
    normal = np.cross(ab, ac)
    square = np.maximum(np.einsum("ij,ij->i", normal, normal), _TINY)
    along, across = (points @ side.T - np.einsum("ij,ij->i", a, side) for side in (ab, ac))
    abab, abac, acac = (np.einsum("ij,ij->i", p, q) for p, q in ((ab, ab), (ab, ac), (ac, ac)))
    second, third = (acac * along - abac * across) / square, (abab * across - abac * along) / square
    over = (second >= 0.0) & (third >= 0.0) & (second + third <= 1.0)
    height = points @ normal.T - np.einsum("ij,ij->i", a, normal)
    beside = np.full(height.shape, np.inf)
    for k in range(3):
        start, side = triangles[:, k], triangles[:, (k + 1) % 3] - triangles[:, k]
        away = (points**2).sum(axis=1)[:, None] - 2.0 * points @ start.T + (start**2).sum(axis=1)
        run = points @ side.T - np.einsum("ij,ij->i", start, side)
        length = np.maximum(np.einsum("ij,ij->i", side, side), _TINY)
        share = np.clip(run / length, 0.0, 1.0)
        beside = np.minimum(beside, away - 2.0 * share * run + share**2 * length)
    return np.where(over, height**2 / square, beside)
