"""Many pairs of pieces at once by the directions that part flat-sided ones: how deep they lie, whether they meet.

Of round pieces hulls inside them are looked at, for which these directions tell all, and their own reach along the same
directions: between the two a pair stays open for the exact way.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import NamedTuple

import numpy as np

from planner.space.approach import NEARER, NOT_NEARER, OPEN
from planner.space.frames import FloatArray
from planner.space.packed import Pack
from planner.space.parting import Flats, crossed
from planner.space.pieces import Piece
from planner.space.spans import Span, span_within
from planner.space.surfaces import IntArray


class Placings(NamedTuple):
    """Pieces and where the origin of each lies (n, 3) [mm]."""

    pieces: Sequence[Piece]
    places: FloatArray


class Course(NamedTuple):
    """How the first pieces of pairs go: from where (m, 3) off their places, along which unit vectors (m, 3).

    ``start`` and ``end`` (m,) [mm] are the travels looked at.
    """

    shift_mm: FloatArray
    way: FloatArray
    start: FloatArray
    end: FloatArray


class _Batch(NamedTuple):
    """Pairs ``at`` (m,) that are alike, unit directions (m, k, 3), and where along them the pieces overlap.

    ``inner`` and ``outer`` are the least and the greatest shift (m, k) at which hulls inside them do and they may.
    """

    at: IntArray
    directions: FloatArray
    inner: Span
    outer: Span


def depths_between(placed: Placings, first: IntArray, second: IntArray) -> tuple[FloatArray, FloatArray]:
    """What the depth of each pair (m,) is not below and not above (m,) twice [mm]; the same for flat-sided ones.

    A depth is 0 when they do not overlap, and anything at all where this way does not tell.
    """
    least, most = np.zeros(len(first)), np.full(len(first), np.inf)
    for batch in _batches(placed, first, second):
        for depths, (low, high) in ((least, batch.inner), (most, batch.outer)):
            depths[batch.at] = np.maximum(0.0, np.minimum(-low, high).min(axis=1))
    return least, most


def meetings(
    placed: Placings, pairs: tuple[IntArray, IntArray], course: Course, limits_mm: tuple[FloatArray, FloatArray]
) -> tuple[IntArray, Span]:
    """Whether each first piece (m,) comes to overlap the second by more than a limit, as ``NEARER`` and so on.

    Limits [mm] are known to lie between two numbers; where an answer hangs on which it is, the pair stays open. With it
    the span of travels within which they may meet.
    """
    answers = np.full(len(pairs[0]), OPEN, dtype=np.int64)
    start, end = course.start.copy(), course.end.copy()
    for batch in _batches(placed, *pairs):
        at = batch.at
        offset = np.matmul(batch.directions, course.shift_mm[at][:, :, None])[:, :, 0]
        slopes = np.matmul(batch.directions, course.way[at][:, :, None])[:, :, 0]
        found = []
        for (low, high), limit in ((batch.outer, limits_mm[0]), (batch.inner, limits_mm[1])):
            spare = limit[at][:, None]
            one, other = span_within(low - offset + spare, high - offset - spare, slopes)
            found.append((np.maximum(one, course.start[at]), np.minimum(other, course.end[at])))
        (start[at], end[at]), inner = found
        answers[at[inner[0] < inner[1]]] = NEARER
        answers[at[start[at] >= end[at]]] = NOT_NEARER
    return answers, (start, end)


def _batches(placed: Placings, first: IntArray, second: IntArray) -> Iterator[_Batch]:
    """The pairs that can be looked at so, those alike together."""
    members, back = np.unique(np.concatenate([first, second]), return_inverse=True)
    pieces = [placed.pieces[k] for k in members.tolist()]
    hulls = [piece.inside for piece in pieces]
    flats, pack = Flats(hulls), Pack(pieces)
    is_round = np.array([hull is not piece for hull, piece in zip(hulls, pieces, strict=True)], dtype=bool)
    a, b = back[: len(first)], back[len(first) :]
    shift = placed.places[second] - placed.places[first]
    for at, one, other in flats.alike(a, b):
        directions = crossed(one, other)
        apart = np.matmul(directions, shift[at][:, :, None])[:, :, 0]
        low, high = _overlaps(flats.pack, (a[at], b[at]), directions, apart)
        inner = low, high
        rows = np.flatnonzero(is_round[a[at]] | is_round[b[at]])
        if len(rows):
            low, high = low.copy(), high.copy()
            balls = (pack.ball_mm[a[at[rows]]] + pack.ball_mm[b[at[rows]]])[:, None]
            own = _overlaps(pack, (a[at[rows]], b[at[rows]]), directions[rows], apart[rows])
            low[rows], high[rows] = own[0] - balls, own[1] + balls
        yield _Batch(at, directions, inner, (low, high))


def _overlaps(pack: Pack, pairs: tuple[IntArray, IntArray], directions: FloatArray, apart: FloatArray) -> Span:
    """Least and greatest shift (m, k) [mm] along the directions at which the cores of pairs overlap."""
    (low_a, high_a), (low_b, high_b) = (pack.spans(rows, directions) for rows in pairs)
    return apart + low_b - high_a, apart + high_b - low_a
