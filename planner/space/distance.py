"""Gaps between bodies."""

from __future__ import annotations

import math
from dataclasses import dataclass, field

import numpy as np

from planner.model.shapes import Vec
from planner.space.body import Body
from planner.space.frames import FloatArray, as_vec
from planner.space.piece_bounds import pairs_by_bound
from planner.space.pieces import Piece
from planner.space.separation import Separation, nearer_than
from planner.space.shared import shared_box

EXACT_MM = 0.01
"""Gaps are exact to this; differences below it decide nothing."""

_SAME_MM = 1e-9
"""Of pairs of pieces that are equally near the first found is told, whatever rounding says."""


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
        if found.between_mm is not None and not (
            self.first.is_blunt(found.normal) and self.second.is_blunt(-found.normal)
        ):
            return as_vec(found.between_mm + self.at_mm)
        return as_vec(_shared_middle(self.first, self.second, self.shift_mm, found) + self.at_mm)


def gap(a: Body, b: Body) -> Gap:
    """Gap between two bodies: that of their nearest (or deepest overlapping) pair of pieces.

    Exact to 0.01 mm between pieces. The depth is the shortest shift that would clear that pair of pieces.
    """
    found = _least_gap(a, b, math.inf)
    if found is None:
        raise ValueError("a body needs at least one piece")
    return found


def gap_if_closer(a: Body, b: Body, mm: float) -> Gap | None:
    """:func:`gap` of two bodies where they are :func:`closer_than` so many mm, else None: both asked in one."""
    limit = mm - EXACT_MM
    return None if _apart_by(a, b, limit) else _least_gap(a, b, limit)


def closer_than(a: Body, b: Body, mm: float) -> bool:
    """Whether the gap is less than ``mm`` by more than 0.01 mm: a gap of just ``mm`` is not closer."""
    limit = mm - EXACT_MM
    if _apart_by(a, b, limit):
        return False
    pairs = pairs_by_bound(a, b, limit)
    while (tried := pairs.next_below(limit)) is not None:
        found = nearer_than(*_placed(a, b, tried), limit)
        if found.mm < limit:
            return True
        pairs.learn(found.normal, limit)
    return False


def _apart_by(a: Body, b: Body, mm: float) -> bool:
    """Whether the boxes of two bodies are at least so far apart along an axis."""
    (ax, ay, az), (au, av, aw), (bx, by, bz), (bu, bv, bw) = a.lo_mm, a.hi_mm, b.lo_mm, b.hi_mm
    return (
        ax - bu >= mm or bx - au >= mm or ay - bv >= mm or by - av >= mm or az - bw >= mm or bz - aw >= mm
    )  # fmt: skip


def _least_gap(a: Body, b: Body, limit_mm: float) -> Gap | None:
    """Gap of the nearest pair of pieces, None when none is nearer than a limit."""
    pairs = pairs_by_bound(a, b, limit_mm)
    best: Separation | None = None
    pair, limit = (0, 0), limit_mm
    while (tried := pairs.next_below(limit)) is not None:
        found = nearer_than(*_placed(a, b, tried), limit)
        if found.mm < limit:
            best, pair, limit = found, tried, found.mm - _SAME_MM
        pairs.learn(found.normal, limit)
    if best is None:
        return None
    i, j = pair
    spot = _Spot(a.pieces[i], b.pieces[j], a.places[i], b.places[j] - a.places[i], best)
    return Gap(mm=best.mm, normal=as_vec(best.normal), spot=spot)


def _placed(a: Body, b: Body, pair: tuple[int, int]) -> tuple[Piece, Piece, FloatArray]:
    """A piece of each body and where the second lies from the first (3,) [mm]."""
    i, j = pair
    return a.pieces[i], b.pieces[j], b.places[j] - a.places[i]


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
