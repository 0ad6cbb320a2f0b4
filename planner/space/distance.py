"""Gaps between bodies."""

from __future__ import annotations

import math
from dataclasses import dataclass

import manifold3d
import numpy as np

from planner.model.shapes import Vec
from planner.space.body import Body
from planner.space.frames import FloatArray, as_vec
from planner.space.pieces import Piece
from planner.space.separation import Separation, separation

EXACT_MM = 0.01
"""Gaps are exact to this; differences below it decide nothing."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Gap:
    """Signed gap [mm] (negative: depth of overlap) and the place [mm] of the narrowest or deepest spot.

    The place is the middle of the two closest points, or of the box round what overlaps.
    """

    mm: float
    at_mm: Vec


def gap(a: Body, b: Body) -> Gap:
    """Gap between two bodies: that of their nearest (or deepest overlapping) pair of pieces.

    Exact to 0.01 mm between pieces. The depth is the shortest shift that would clear that pair of pieces.
    """
    best: Separation | None = None
    pair = (0, 0)
    for bound, i, j in _pairs_by_bound(a, b):
        if best is not None and bound >= best.mm:
            break
        found = separation(a.pieces[i], b.pieces[j], b.places[j] - a.places[i])
        if best is None or found.mm < best.mm:
            best, pair = found, (i, j)
    if best is None:
        raise ValueError("a body needs at least one piece")
    return Gap(mm=best.mm, at_mm=_place(a, b, pair, best))


def closer_than(a: Body, b: Body, mm: float) -> bool:
    """Whether the gap is less than ``mm`` by more than 0.01 mm: a gap of just ``mm`` is not closer."""
    limit = mm - EXACT_MM
    for axis in range(3):
        if a.lo_mm[axis] - b.hi_mm[axis] >= limit or b.lo_mm[axis] - a.hi_mm[axis] >= limit:
            return False
    for bound, i, j in _pairs_by_bound(a, b):
        if bound >= limit:
            return False
        if separation(a.pieces[i], b.pieces[j], b.places[j] - a.places[i]).mm < limit:
            return True
    return False


def _pairs_by_bound(a: Body, b: Body) -> list[tuple[float, int, int]]:
    """Pairs of pieces with a lower bound of their gap [mm] from their boxes, the least first."""
    if len(a.pieces) == 1 and len(b.pieces) == 1:
        return [(-math.inf, 0, 0)]
    bounds = box_bounds(a, b)
    order = np.argsort(bounds, axis=None, kind="stable")
    columns = bounds.shape[1]
    flat = bounds.ravel()
    return [(float(flat[k]), int(k) // columns, int(k) % columns) for k in order.tolist()]


def box_bounds(a: Body, b: Body) -> FloatArray:
    """Lower bounds (n, m) [mm] of the gaps of all pairs of pieces, by their boxes."""
    apart = np.maximum(a.lows[:, None] - b.highs[None], b.lows[None] - a.highs[:, None])
    outside = np.maximum(apart, 0.0)
    distance: FloatArray = np.sqrt(np.einsum("ijk,ijk->ij", outside, outside))
    return np.where(distance > 0.0, distance, apart.max(axis=2))


def _place(a: Body, b: Body, pair: tuple[int, int], found: Separation) -> Vec:
    i, j = pair
    first, second = a.pieces[i], b.pieces[j]
    if found.between_mm is not None and not (first.is_blunt(found.normal) and second.is_blunt(-found.normal)):
        return as_vec(found.between_mm + a.places[i])
    shift = b.places[j] - a.places[i]
    return as_vec(_shared_middle(first, second, shift, found) + a.places[i])


def _shared_middle(a: Piece, b: Piece, shift_mm: FloatArray, found: Separation) -> FloatArray:
    """Middle (3,) [mm], about a's origin, of what two pieces share, or of the gap over which they face each other."""
    # Pieces that do not overlap share no volume: press them together by a hair first.
    press = max(0.0, found.mm + 2.0 * EXACT_MM)
    moved = b.solid.translate(tuple(shift_mm - press * found.normal))
    shared = manifold3d.Manifold.batch_boolean([a.solid, moved], manifold3d.OpType.Intersect)
    if not shared.is_empty():
        box = np.array(shared.bounding_box())
        middle: FloatArray = (box[:3] + box[3:] + press * found.normal) / 2.0
        return middle
    if found.between_mm is not None:
        return found.between_mm
    low = np.maximum(a.box_mm[0], b.box_mm[0] + shift_mm)
    high = np.minimum(a.box_mm[1], b.box_mm[1] + shift_mm)
    return (low + high) / 2.0
