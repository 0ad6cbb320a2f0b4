"""Gaps between bodies."""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from functools import lru_cache

import numpy as np

from planner.model.shapes import Vec
from planner.space.body import Body
from planner.space.depth import straight_bound
from planner.space.frames import FloatArray, as_vec
from planner.space.packed import Pack
from planner.space.pieces import LOOKS, Bar, Hull, Piece, find_ways
from planner.space.separation import Separation, separation
from planner.space.shared import shared_box
from planner.space.surfaces import IntArray

EXACT_MM = 0.01
"""Gaps are exact to this; differences below it decide nothing."""

_MANY = 4
"""From so many pairs of pieces on, a closer look at which may be nearest pays."""
_VERY_MANY = 40
"""From so many pairs that may overlap on, a look along all their faces pays too."""
_CORNERS = 64
_BODIES = 512


@dataclass(frozen=True, slots=True, kw_only=True)
class Gap:
    """Signed gap [mm] (negative: depth of overlap) and the place [mm] of the narrowest or deepest spot."""

    mm: float
    normal: Vec
    """Unit direction from the first body to the second along which the gap is measured."""
    spot: _Spot = field(repr=False, compare=False)

    @property
    def at_mm(self) -> Vec:
        """The middle of the two closest points, or of the box round what overlaps; found when it is asked for."""
        return self.spot.place()


@dataclass(frozen=True, slots=True, eq=False)
class _Spot:
    """Two pieces, where the origin of the first lies and of the second from there (3,) [mm], and their distance."""

    first: Piece
    second: Piece
    at_mm: FloatArray
    shift_mm: FloatArray
    found: Separation

    def place(self) -> Vec:
        found = self.found
        sharp = not (self.first.is_blunt(found.normal) and self.second.is_blunt(-found.normal))
        if found.between_mm is not None and sharp:
            return as_vec(found.between_mm + self.at_mm)
        return as_vec(_shared_middle(self.first, self.second, self.shift_mm, found) + self.at_mm)


def gap(a: Body, b: Body) -> Gap:
    """Gap between two bodies: that of their nearest (or deepest overlapping) pair of pieces.

    Exact to 0.01 mm between pieces. The depth is the shortest shift that would clear that pair of pieces.
    """
    best: Separation | None = None
    pair = (0, 0)
    for bound, i, j in _pairs_by_bound(a, b, math.inf):
        if best is not None and bound >= best.mm:
            break
        first, second, shift = a.pieces[i], b.pieces[j], b.places[j] - a.places[i]
        round_one = isinstance(first, Bar) or isinstance(second, Bar)
        if best is not None and best.mm < 0.0 and round_one and straight_bound(first, second, shift) >= best.mm:
            continue
        found = separation(first, second, shift)
        if best is None or found.mm < best.mm:
            best, pair = found, (i, j)
    if best is None:
        raise ValueError("a body needs at least one piece")
    i, j = pair
    spot = _Spot(a.pieces[i], b.pieces[j], a.places[i], b.places[j] - a.places[i], best)
    return Gap(mm=best.mm, normal=as_vec(best.normal), spot=spot)


def closer_than(a: Body, b: Body, mm: float) -> bool:
    """Whether the gap is less than ``mm`` by more than 0.01 mm: a gap of just ``mm`` is not closer."""
    limit = mm - EXACT_MM
    for axis in range(3):
        if a.lo_mm[axis] - b.hi_mm[axis] >= limit or b.lo_mm[axis] - a.hi_mm[axis] >= limit:
            return False
    return any(
        separation(a.pieces[i], b.pieces[j], b.places[j] - a.places[i]).mm < limit
        for _, i, j in _pairs_by_bound(a, b, limit)
    )


def _pairs_by_bound(a: Body, b: Body, limit_mm: float) -> list[tuple[float, int, int]]:
    """Pairs of pieces with a lower bound of their gap [mm], the least first; only those with one below the limit."""
    if len(a.pieces) == 1 and len(b.pieces) == 1:
        return [(-math.inf, 0, 0)]
    bounds = box_bounds(a, b)
    rows, columns = (bounds < limit_mm).nonzero()
    found = bounds[rows, columns]
    if len(found) < _MANY:
        return sorted(zip(found.tolist(), rows.tolist(), columns.tolist(), strict=True))
    found = np.maximum(found, _look_bounds(a, b, rows, columns))
    if np.count_nonzero(found < 0.0) >= (_MANY if _has_many_corners(a, b) else _VERY_MANY):
        found = np.maximum(found, np.maximum(_face_bounds(a, b), _face_bounds(b, a).T)[rows, columns])
    order = np.argsort(found, kind="stable")
    order = order[found[order] < limit_mm]
    return list(zip(found[order].tolist(), rows[order].tolist(), columns[order].tolist(), strict=True))


def _has_many_corners(a: Body, b: Body) -> bool:
    """Whether finding one depth exactly may take as long as looking along all faces."""
    return any(isinstance(piece, Hull) and len(piece.points_mm) > _CORNERS for body in (a, b) for piece in body.pieces)


def _look_bounds(a: Body, b: Body, rows: IntArray, columns: IntArray) -> FloatArray:
    """Lower bounds (n,) [mm] of the gaps of pairs of pieces by directions between the axes."""
    looks_a = _looks(a.pieces) + (a.places @ LOOKS.T)[:, None]
    looks_b = _looks(b.pieces) + (b.places @ LOOKS.T)[:, None]
    one, other = looks_a[rows], looks_b[columns]
    bounds: FloatArray = np.maximum(one[:, 0] - other[:, 1], other[:, 0] - one[:, 1]).max(axis=1)
    return bounds


def _face_bounds(a: Body, b: Body) -> FloatArray:
    """Lower bounds (n, m) [mm] of the gaps of all pairs of pieces by the faces of those of ``a``."""
    ways, own, starts, owner = _faces(a.pieces)
    own = own + np.einsum("ij,ij->i", ways, a.places[owner])
    along = b.places @ ways.T
    low, high = (reach + along for reach in _pack(b.pieces).extents(ways))
    bounds: FloatArray = np.maximum.reduceat(np.maximum(low - own[1], own[0] - high), starts, axis=1).T
    return bounds


# bodies that are shifted share their pieces, so what is found out about those is kept for where they go next


@lru_cache(maxsize=_BODIES)
def _looks(pieces: tuple[Piece, ...]) -> FloatArray:
    """Least and greatest coordinates (n, 2, k) [mm] of pieces, each about its own origin, along ``LOOKS``."""
    return np.array([piece.looks_mm for piece in pieces])


@lru_cache(maxsize=_BODIES)
def _pack(pieces: tuple[Piece, ...]) -> Pack:
    return Pack(pieces)


@lru_cache(maxsize=_BODIES)
def _faces(pieces: tuple[Piece, ...]) -> tuple[FloatArray, FloatArray, IntArray, IntArray]:
    """All face normals (k, 3), their pieces' coordinates (2, k) [mm] along them, where each's begin, whose each is."""
    find_ways(piece for piece in pieces if isinstance(piece, Hull))
    counts = np.array([len(piece.faces) for piece in pieces], dtype=np.int64)
    return (
        np.vstack([piece.faces for piece in pieces]),
        np.concatenate([piece.faces_mm for piece in pieces], axis=1),
        np.cumsum(counts) - counts,
        np.repeat(np.arange(len(pieces)), counts),
    )


def box_bounds(a: Body, b: Body) -> FloatArray:
    """Lower bounds (n, m) [mm] of the gaps of all pairs of pieces, by their boxes."""
    apart = np.maximum(a.lows[:, None] - b.highs[None], b.lows[None] - a.highs[:, None])
    outside = np.maximum(apart, 0.0)
    distance: FloatArray = np.sqrt(np.einsum("ijk,ijk->ij", outside, outside))
    return np.where(distance > 0.0, distance, apart.max(axis=2))


def _shared_middle(a: Piece, b: Piece, shift_mm: FloatArray, found: Separation) -> FloatArray:
    """Middle (3,) [mm], about a's origin, of what two pieces share, or of the gap over which they face each other."""
    # Pieces that do not overlap share no volume: press them together by a hair first.
    press = max(0.0, found.mm + 2.0 * EXACT_MM)
    shared = shared_box(a, b, shift_mm - press * found.normal)
    if shared is not None:
        middle: FloatArray = (shared[0] + shared[1] + press * found.normal) / 2.0
        return middle
    if found.between_mm is not None:
        return found.between_mm
    low = np.maximum(a.box_mm[0], b.box_mm[0] + shift_mm)
    high = np.minimum(a.box_mm[1], b.box_mm[1] + shift_mm)
    return (low + high) / 2.0
