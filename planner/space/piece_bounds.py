"""Lower bounds of the gaps between the pieces of two bodies: which pairs are worth measuring, and in what order.

Bodies that are shifted share their pieces, so what is found out about those is kept for where they go next.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from functools import lru_cache
from typing import NamedTuple

import numpy as np

from planner.space.body import Body
from planner.space.frames import FloatArray
from planner.space.packed import Pack
from planner.space.pieces import LOOKS, Bar, Hull, Piece, find_ways
from planner.space.surfaces import IntArray

_FEW = 8
"""Up to so many pairs of pieces are looked at one by one."""
_MANY = 4
"""From so many pairs of pieces on, a closer look at which may be nearest pays."""
_VERY_MANY = 400
"""From so many pairs that may overlap on, a look along all their faces pays too."""
_MORE = 6
"""Where more pairs than this are left, what parts one of them is tried on all."""
_CORNERS = 64
_BODIES = 512
_KEPT = 8
"""Bounds kept: who asks whether two bodies are too close mostly asks next by how much."""

_Spans = tuple[FloatArray, FloatArray]
_Numbered = tuple[int, float, float, float, float, float, float]
_Bounded = tuple[float, int, int]


class FewPairs:
    """A few pairs of pieces (i, j) in the order of their bounds."""

    def __init__(self, pairs: Iterable[_Bounded]) -> None:
        """Take the pairs, each with its bound [mm] before it."""
        self._left = sorted(pairs, reverse=True)

    def next_below(self, limit_mm: float) -> tuple[int, int] | None:
        """Take the pair of the least bound, once; None when no bound is below ``limit_mm``."""
        return self._left.pop()[1:] if self._left and self._left[-1][0] < limit_mm else None

    def learn(self, way: FloatArray, limit_mm: float) -> None:
        """Measuring so few takes less time than trying on them what parted one of them."""


class ManyPairs:
    """All pairs of pieces of two bodies by their bounds (n, m) [mm]."""

    def __init__(self, a: Body, b: Body, bounds: FloatArray) -> None:
        """Take two bodies and what is known of the gaps of their pieces."""
        self._bodies = a, b
        self._bounds = bounds

    def next_below(self, limit_mm: float) -> tuple[int, int] | None:
        """Take the pair of the least bound, once; None when no bound is below ``limit_mm``."""
        k = int(self._bounds.argmin())
        if self._bounds.item(k) >= limit_mm:
            return None
        i, j = divmod(k, self._bounds.shape[1])
        self._bounds[i, j] = math.inf
        return i, j

    def learn(self, way: FloatArray, limit_mm: float) -> None:
        """Try a unit direction (3,) from the first body to the second that parted one pair on all the others.

        Pieces next to each other mostly face another body in much the same way.
        """
        if np.count_nonzero(self._bounds < limit_mm) > _MORE:
            np.maximum(self._bounds, _bounds_along(*self._bodies, way), out=self._bounds)


def pairs_by_bound(a: Body, b: Body, limit_mm: float) -> FewPairs | ManyPairs:
    """Pairs of pieces by lower bounds of their gaps; those not below ``limit_mm`` need not be told from each other."""
    if len(a.pieces) == 1 and len(b.pieces) == 1:
        return FewPairs([(-math.inf, 0, 0)])
    if min(len(a.pieces), len(b.pieces)) <= _FEW:
        mine, theirs = _within(a, b, limit_mm), _within(b, a, limit_mm)
        if len(mine) * len(theirs) <= _FEW:
            return FewPairs(_box_pairs(mine, theirs, limit_mm))
    return ManyPairs(a, b, _bounds(a, b, limit_mm))


def _bounds(a: Body, b: Body, limit_mm: float) -> FloatArray:
    """Lower bounds (n, m) [mm] of the gaps of all pairs of pieces, closer where more than a few are below a limit."""
    bounds = _box_bounds(a, b)
    if np.count_nonzero(bounds < limit_mm) < _MANY:
        return bounds.copy()
    bounds = np.maximum(bounds, _look_bounds(a, b))
    if np.count_nonzero(bounds < 0.0) >= (_MANY if _has_many_corners(a.pieces + b.pieces) else _VERY_MANY):
        bounds = np.maximum(bounds, np.maximum(_face_bounds(a, b), _face_bounds(b, a).T))
    return bounds


def _bounds_along(a: Body, b: Body, way: FloatArray) -> FloatArray:
    """Lower bounds (n, m) [mm] of the gaps of all pairs of pieces by one unit direction (3,) from a to b."""
    high = _reaches(a.pieces, way) + a.places @ way
    low = b.places @ way - _reaches(b.pieces, -way)
    bounds: FloatArray = low[None, :] - high[:, None]
    return bounds


def _within(a: Body, b: Body, limit_mm: float) -> Sequence[_Numbered]:
    """Pieces of one body whose boxes may come within a limit of the other's; all of them where they are many."""
    boxes = _boxes(a)
    if len(boxes) > _FEW or limit_mm == math.inf:
        return boxes
    (x, y, z), (u, v, w) = b.lo_mm, b.hi_mm
    least, most = limit_mm + u, x - limit_mm
    back, front = limit_mm + v, y - limit_mm
    low, high = limit_mm + w, z - limit_mm
    return [
        box
        for box in boxes
        if box[1] < least and box[4] > most and box[2] < back and box[5] > front and box[3] < low and box[6] > high
    ]


@lru_cache(maxsize=_BODIES)
def _boxes(body: Body) -> list[_Numbered]:
    """Every piece of a body by its number and the low and high corner [mm] of its box."""
    rows = zip(body.lows.tolist(), body.highs.tolist(), strict=True)
    return [(i, x, y, z, u, v, w) for i, ((x, y, z), (u, v, w)) in enumerate(rows)]


def _box_pairs(mine: Sequence[_Numbered], theirs: Sequence[_Numbered], limit_mm: float) -> list[_Bounded]:
    """:func:`_box_bounds` below a limit of some pieces, one by one, which for so few is quicker than in arrays."""
    found: list[_Bounded] = []
    for i, ax, ay, az, au, av, aw in mine:
        for j, bx, by, bz, bu, bv, bw in theirs:
            x = max(bx - au, ax - bu)
            y = max(by - av, ay - bv)
            z = max(bz - aw, az - bw)
            bound = max(x, y, z)
            if 0.0 < bound < limit_mm:
                x, y, z = max(x, 0.0), max(y, 0.0), max(z, 0.0)
                bound = math.sqrt(x * x + y * y + z * z)
            if bound < limit_mm:
                found.append((bound, i, j))
    return found


@lru_cache(maxsize=_KEPT)
def _box_bounds(a: Body, b: Body) -> FloatArray:
    """Lower bounds (n, m) [mm] of the gaps of all pairs of pieces, by their boxes."""
    x, y, z = _apart((a.lows.T, a.highs.T), (b.lows.T, b.highs.T))
    u, v, w = (np.maximum(gaps, 0.0) for gaps in (x, y, z))
    distance: FloatArray = np.sqrt(u * u + v * v + w * w)
    return np.where(distance > 0.0, distance, np.maximum(np.maximum(x, y), z))


@lru_cache(maxsize=_KEPT)
def _look_bounds(a: Body, b: Body) -> FloatArray:
    """Lower bounds (n, m) [mm] of the gaps of all pairs of pieces by directions between the axes."""
    one, other = (_looks(body.pieces) + LOOKS @ body.places.T for body in (a, b))
    bounds: FloatArray = np.maximum.reduce(_apart((one[0], one[1]), (other[0], other[1])))
    return bounds


def _apart(one: _Spans, other: _Spans) -> FloatArray:
    """How far (k, n, m) [mm] spans (k, n) twice lie apart from others (k, m) twice, below zero where they overlap."""
    if one[0].shape[1] > other[0].shape[1]:
        # arrays are quickest with their longest side last
        return _apart(other, one).transpose(0, 2, 1)
    apart: FloatArray = other[0][:, None, :] - one[1][:, :, None]
    return np.maximum(apart, one[0][:, :, None] - other[1][:, None, :], out=apart)


def _face_bounds(a: Body, b: Body) -> FloatArray:
    """Lower bounds (n, m) [mm] of the gaps of all pairs of pieces by the faces of those of ``a``."""
    ways, own, starts, owner = _faces(a.pieces)
    own = own + np.einsum("ij,ij->i", ways, a.places[owner])
    along = b.places @ ways.T
    low, high = (reach + along for reach in _pack(b.pieces).extents(ways))
    bounds: FloatArray = np.maximum.reduceat(np.maximum(low - own[1], own[0] - high), starts, axis=1).T
    return bounds


@lru_cache(maxsize=_BODIES)
def _has_many_corners(pieces: tuple[Piece, ...]) -> bool:
    """Whether finding one depth exactly may take as long as looking along all faces."""
    return any(isinstance(piece, Hull) and len(piece.points_mm) > _CORNERS for piece in pieces)


@lru_cache(maxsize=_BODIES)
def _looks(pieces: tuple[Piece, ...]) -> FloatArray:
    """Least and greatest coordinates (2, k, n) [mm] of pieces, each about its own origin, along ``LOOKS``."""
    return np.stack([piece.looks_mm for piece in pieces], axis=2)


class _Ends(NamedTuple):
    """Points of all pieces in a row, where each one's begin, and how far round it reaches (n,) [mm] beyond them.

    A round bar is the two ends of its axis and reaches by its radius across: number, axis (r, 3), radius (r,) [mm].
    """

    points: FloatArray
    starts: IntArray
    ball_mm: FloatArray
    bars: IntArray
    axes: FloatArray
    radius_mm: FloatArray


@lru_cache(maxsize=_BODIES)
def _ends(pieces: tuple[Piece, ...]) -> _Ends:
    bars = [(k, piece) for k, piece in enumerate(pieces) if isinstance(piece, Bar)]
    clouds = [
        piece.points_mm
        if isinstance(piece, Hull)
        else np.stack([-piece.half_mm * piece.axis, piece.half_mm * piece.axis])
        for piece in pieces
    ]
    sizes = np.array([len(cloud) for cloud in clouds], dtype=np.int64)
    return _Ends(
        np.concatenate(clouds),
        np.cumsum(sizes) - sizes,
        np.array([piece.ball_mm for piece in pieces]),
        np.array([k for k, _ in bars], dtype=np.int64),
        np.array([bar.axis for _, bar in bars]),
        np.array([bar.radius_mm for _, bar in bars]),
    )


def _reaches(pieces: tuple[Piece, ...], way: FloatArray) -> FloatArray:
    """Greatest coordinates (n,) [mm] of pieces, each about its own origin, along one unit direction (3,)."""
    ends = _ends(pieces)
    reaches: FloatArray = np.maximum.reduceat(ends.points @ way, ends.starts) + ends.ball_mm
    if len(ends.bars):
        along = ends.axes @ way
        reaches[ends.bars] += ends.radius_mm * np.sqrt(np.maximum(0.0, 1.0 - along * along))
    return reaches


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
