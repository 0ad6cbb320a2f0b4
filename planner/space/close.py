"""Which bodies come closer to each other than they may, many at once: the same answers as one pair at a time.

Almost all pairs are settled in arrays, by their boxes, by two points near enough or by a direction that parts them;
the few that lie within a hair of their limit are left to the exact way.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache
from typing import NamedTuple

import numpy as np
import numpy.typing as npt

from planner.space.approach import HAIR_MM, NEARER, NOT_NEARER, OPEN, Question, nearer
from planner.space.body import Body
from planner.space.broad import box_corners, near_rows
from planner.space.distance import EXACT_MM
from planner.space.frames import FloatArray
from planner.space.packed import Pack
from planner.space.parting import deeper
from planner.space.pieces import Piece
from planner.space.separation import separation
from planner.space.surfaces import IntArray

BoolArray = npt.NDArray[np.bool_]
"""Truth values; the shape is given in each docstring."""

_MANY = 2_000
"""With no more than so many pieces, or pairs of them, each step of arrays costs more than what is in them."""
_ROWS = 200_000
"""Pairs of pieces looked at in one go."""


def close_pairs(bodies: Sequence[Body], margin_mm: float | Sequence[float]) -> list[tuple[int, int]]:
    """Pairs (i, j), i < j, in rising order, whose gap is less than their margin by more than 0.01 mm.

    Parameters
    ----------
    bodies
        The bodies.
    margin_mm : float or one for each body [mm]
        How far they are to stay apart; of two bodies with margins of their own the larger counts.

    Raises
    ------
    ValueError
        When there are not as many margins as bodies.

    """
    margins = np.broadcast_to(np.asarray(margin_mm, dtype=np.float64), (len(bodies),)) if len(bodies) else np.zeros(0)
    if len(bodies) < 2:  # noqa: PLR2004 - a pair needs two
        return []
    table = _table(tuple(bodies))
    first, second = near_rows(table.body_sides[:3].T, table.body_sides[3:].T, margins)
    close = _closer(table, (first, second), np.maximum(margins[first], margins[second]))
    return list(zip(first[close].tolist(), second[close].tolist(), strict=True))


def are_closer(pairs: Sequence[tuple[Body, Body]], mm: float | Sequence[float]) -> list[bool]:
    """Answer ``closer_than(a, b, mm)`` for many pairs at once; ``mm`` [mm] is one for all, or one for each pair."""
    limits = np.broadcast_to(np.asarray(mm, dtype=np.float64), (len(pairs),))
    at: dict[int, int] = {}
    bodies: list[Body] = []
    for body in (body for pair in pairs for body in pair):
        if id(body) not in at:
            at[id(body)] = len(bodies)
            bodies.append(body)
    rows = np.array([[at[id(a)], at[id(b)]] for a, b in pairs], dtype=np.int64).reshape(-1, 2)
    if not len(rows):
        return []
    found: list[bool] = _closer(_gathered(tuple(bodies)), (rows[:, 0], rows[:, 1]), limits).tolist()
    return found


class _Pieces(NamedTuple):
    """All pieces of some bodies in arrays; ``starts`` (b,) and ``sizes`` (b,) say which are whose.

    ``sides`` (6, p) and ``body_sides`` (6, b) are the low and high corners of the boxes, axis after axis.
    """

    pieces: tuple[Piece, ...]
    places: FloatArray
    sides: FloatArray
    body_sides: FloatArray
    starts: IntArray
    sizes: IntArray
    pack: Pack
    upright: BoolArray


class _Rows(NamedTuple):
    """Pairs of pieces: of which pair of bodies, which pieces, the limit [mm], the bound by their boxes [mm]."""

    pair: IntArray
    first: IntArray
    second: IntArray
    limit_mm: FloatArray
    bound_mm: FloatArray

    def part(self, kept: IntArray | BoolArray) -> _Rows:
        """Some of the rows."""
        return _Rows(self.pair[kept], self.first[kept], self.second[kept], self.limit_mm[kept], self.bound_mm[kept])


def _closer(table: _Pieces, pairs: tuple[IntArray, IntArray], limits_mm: FloatArray) -> BoolArray:
    """Whether each pair (n,) of bodies is closer than its limit (n,) by more than 0.01 mm."""
    first, second = pairs
    answers = np.zeros(len(first), dtype=bool)
    if not len(first):
        return answers
    one, other, limit = first, second, limits_mm - EXACT_MM
    ends = np.cumsum(table.sizes[one] * table.sizes[other])
    start = 0
    while start < len(first):
        before = int(ends[start - 1]) if start else 0
        stop = max(start + 1, int(np.searchsorted(ends, before + _ROWS, side="right")))
        part = np.arange(start, stop)
        _settle(table, _rows(table, part, (one[part], other[part]), limit[part]), answers)
        start = stop
    return answers


def _gathered(bodies: tuple[Body, ...]) -> _Pieces:
    sizes = np.array([len(body.pieces) for body in bodies], dtype=np.int64)
    pieces = tuple(piece for body in bodies for piece in body.pieces)
    pack = Pack(pieces, finely=len(pieces) > _MANY)
    return _Pieces(
        pieces,
        np.concatenate([body.places for body in bodies]),
        np.concatenate([np.concatenate([getattr(body, end) for body in bodies]).T for end in ("lows", "highs")]),
        np.concatenate([corners.T for corners in box_corners(bodies)]),
        np.cumsum(sizes) - sizes,
        sizes,
        pack,
        pack.upright_boxes(),
    )


# who asks about all pairs mostly asks again, with other margins
_table = lru_cache(maxsize=1)(_gathered)


def _rows(table: _Pieces, pair: IntArray, bodies: tuple[IntArray, IntArray], limit_mm: FloatArray) -> _Rows:
    """Those pairs of pieces of each pair of bodies whose boxes are closer than the limit, in the order of the pairs."""
    one, other = bodies
    at, first = _each_piece(table, one)
    near = _near(table.sides.take(first, axis=1), table.body_sides.take(other[at], axis=1), limit_mm[at])
    at, first = at[near], first[near]
    back, second = _each_piece(table, other[at])
    at, first = at.take(back), first.take(back)
    # of many axis by axis, so that what is apart along one is not looked at along the next
    for axis in range(3 if len(at) > _MANY else 0):
        low, high, limit = table.sides[axis], table.sides[axis + 3], limit_mm.take(at)
        near = (low.take(first) - high.take(second) < limit) & (low.take(second) - high.take(first) < limit)
        at, first, second = at[near], first[near], second[near]
    bound = _box_bounds(table.sides.take(first, axis=1), table.sides.take(second, axis=1))
    limit = limit_mm[at]
    return _Rows(pair[at], first, second, limit, bound).part(bound < limit)


def _each_piece(table: _Pieces, bodies: IntArray) -> tuple[IntArray, IntArray]:
    """Positions in ``bodies`` (n,), each as often as its body has pieces, and those pieces."""
    counts = table.sizes[bodies]
    at = np.repeat(np.arange(len(bodies)), counts)
    within = np.arange(len(at)) - np.repeat(np.cumsum(counts) - counts, counts)
    return at, table.starts[bodies][at] + within


def _near(one: FloatArray, other: FloatArray, limit_mm: FloatArray) -> BoolArray:
    """Whether boxes, their low and high corners in columns (6, n), are closer than limits (n,) [mm] along each axis."""
    near = np.ones(one.shape[1], dtype=bool)
    for axis in range(3):
        near &= one[axis] - other[axis + 3] < limit_mm
        near &= other[axis] - one[axis + 3] < limit_mm
    return near


def _box_bounds(one: FloatArray, other: FloatArray) -> FloatArray:
    """Lower bound (n,) [mm] of the signed distance of what lies in two boxes (6, n); their own signed distance."""
    apart = np.maximum(one[:3] - other[3:], other[:3] - one[3:])
    outside = np.maximum(apart, 0.0)
    distance = np.sqrt(np.einsum("ij,ij->j", outside, outside))
    bounds: FloatArray = np.where(distance > 0.0, distance, np.maximum.reduce(apart))
    return bounds


def _settle(table: _Pieces, rows: _Rows, answers: BoolArray) -> None:
    """Set the answers of the pairs of bodies that have a pair of pieces among ``rows`` closer than the limit.

    The pair of pieces whose boxes lie deepest in each other goes first, and mostly spares the others.
    """
    if not len(rows.pair):
        return
    pack, a, b = table.pack, rows.first, rows.second
    upright = table.upright
    answers[rows.pair[upright[a] & upright[b]]] = True  # their boxes are they themselves
    shift = table.places.take(rows.second, axis=0) - table.places.take(rows.first, axis=0)
    asked = Question(a, b, shift, rows.limit_mm + pack.ball_mm[a] + pack.ball_mm[b])
    firsts = _deepest(rows)
    left = [np.zeros(0, dtype=np.int64)]
    for batch in (firsts.nonzero()[0], (~firsts).nonzero()[0]):
        waiting = batch[~answers[rows.pair[batch]]]
        found = _judged(pack, asked.part(waiting))
        answers[rows.pair[waiting[found == NEARER]]] = True
        left.append(waiting[found == OPEN])
    _settle_exactly(table, rows.part(np.concatenate(left)), answers)


def _deepest(rows: _Rows) -> BoolArray:
    """Which rows (n,) are the first of the least bound of their pair of bodies."""
    starts = (np.diff(rows.pair, prepend=-1) != 0).nonzero()[0]
    sizes = np.diff(starts, append=len(rows.pair))
    least = (rows.bound_mm == np.repeat(np.minimum.reduceat(rows.bound_mm, starts), sizes)).nonzero()[0]
    found = np.zeros(len(rows.pair), dtype=bool)
    found[least[np.diff(rows.pair[least], prepend=-1) != 0]] = True
    return found


def _judged(pack: Pack, asked: Question) -> IntArray:
    """Answer (n,) about each pair of pieces by the batched ways."""
    touching = asked.limit_mm <= 2.0 * HAIR_MM
    # what is found apart is not deep in each other either
    eased = asked._replace(limit_mm=np.where(touching, 2.0 * HAIR_MM, asked.limit_mm))
    answers = nearer(pack, eased)
    meeting = np.flatnonzero(touching & (answers != NOT_NEARER))
    answers[meeting] = deeper(pack, asked.part(meeting))
    return answers


def _settle_exactly(table: _Pieces, rows: _Rows, answers: BoolArray) -> None:
    """One pair of pieces at a time, those whose boxes lie deepest in each other first."""
    for k in np.argsort(rows.bound_mm, kind="stable").tolist():
        pair, i, j = int(rows.pair[k]), int(rows.first[k]), int(rows.second[k])
        if not answers[pair]:
            found = separation(table.pieces[i], table.pieces[j], table.places[j] - table.places[i])
            answers[pair] = found.mm < rows.limit_mm[k]
