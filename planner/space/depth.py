"""The best separating direction of two convex cores that meet: exact depth of overlap.

Two hulls of points: the depth is found on a face normal of the one or the other, or on the cross product of two
edges (separating axis theorem), so trying them all is exact. Round bars are a matter of their own (``bar_depth``).
"""

from __future__ import annotations

import math
from typing import NamedTuple

import numpy as np

from planner.space.bar_depth import bar_axis
from planner.space.frames import FloatArray
from planner.space.pieces import Bar, Hull, Piece
from planner.space.vectors import cross

_FEW_CROSSES = 300
_MOST_AT_ONCE = 20_000
_TINY = 1e-9


class _Pair(NamedTuple):
    """Two hulls and where b's origin lies from a's (3,) [mm]."""

    a: Hull
    b: Hull
    shift_mm: FloatArray


def best_axis(a: Piece, b: Piece, shift_mm: FloatArray, enough_mm: float = math.inf) -> tuple[float, FloatArray]:
    """Greatest bound [mm] of the cores' signed distance (balls left out), and its unit direction (3,) from a to b.

    Exact when the cores touch or overlap; when they are apart it is only a lower bound. Any bound that is not below
    ``enough_mm`` will do.
    """
    if isinstance(a, Bar):
        return bar_axis(a, b, shift_mm, enough_mm)
    if isinstance(b, Bar):
        mm, way = bar_axis(b, a, -shift_mm, enough_mm)
        return mm, -way
    pair, faces = _Pair(a, b, shift_mm), np.concatenate([a.faces, b.faces])
    if enough_mm == math.inf:
        return _best(pair, np.concatenate([faces, _crosses(a, b)]))
    found = _best(pair, faces)
    return found if found[0] >= enough_mm else max(found, _best(pair, _crosses(a, b)), key=_mm)


def _mm(bound: tuple[float, FloatArray]) -> float:
    return bound[0]


def _best(pair: _Pair, directions: FloatArray) -> tuple[float, FloatArray]:
    """Best of ``directions`` (n, 3), each tried both ways."""
    found = (-math.inf, pair.shift_mm)
    for start in range(0, len(directions), _MOST_AT_ONCE):
        part = directions[start : start + _MOST_AT_ONCE]
        along = part @ pair.shift_mm
        low_a, high_a = pair.a.span(part)
        low_b, high_b = pair.b.span(part)
        ahead, behind = along + low_b - high_a, low_a - along - high_b
        i, j = int(ahead.argmax()), int(behind.argmax())
        for value, way in ((ahead.item(i), part[i]), (behind.item(j), -part[j])):
            if value > found[0]:
                found = value, way
    return found


def _crosses(a: Hull, b: Hull) -> FloatArray:
    """Unit directions (n, 3) square to an edge of each."""
    loose = _edge_crosses(a, b)
    lengths = np.sqrt(np.einsum("ij,ij->i", loose, loose))
    sound = (lengths > _TINY).nonzero()[0]
    if len(sound) < len(loose):
        loose, lengths = loose.take(sound, axis=0), lengths.take(sound)
    unit: FloatArray = loose / lengths[:, None]
    return unit


def _edge_crosses(a: Hull, b: Hull) -> FloatArray:
    """Directions (n, 3), of any length, square to an edge of each.

    Of hulls with many edges only those that touch each other with these edges: an edge does so only along
    directions between the normals of its two faces. Source: the overlap test of arcs on the Gauss map, D. Gregorius,
    "The Separating Axis Test between Convex Polyhedra", Game Developers Conference (2013).
    """
    if len(a.edges) * len(b.edges) <= _FEW_CROSSES:
        return (b.edges @ a.crossing).reshape(-1, 3)
    creases_a, creases_b = a.creases, b.creases
    ways_a = a.edges if creases_a is None else creases_a[0]
    ways_b = b.edges if creases_b is None else creases_b[0]
    meets = np.ones((len(ways_a), len(ways_b)), dtype=bool)
    if creases_a is not None:
        meets &= (creases_a[1] @ ways_b.T) * (creases_a[2] @ ways_b.T) <= _TINY
    if creases_b is not None:
        meets &= (ways_a @ creases_b[1].T) * (ways_a @ creases_b[2].T) <= _TINY
    rows, columns = np.nonzero(meets)
    return cross(ways_a[rows], ways_b[columns])
