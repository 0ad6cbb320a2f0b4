"""Many pairs of pieces at once by the directions that part flat-sided ones: how deep they lie, whether they meet.

Of round pieces hulls inside them are looked at, for which these directions tell all, and their own reach along the same
directions: between the two a pair stays open for the exact way.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import NamedTuple

import numpy as np

from planner.space.approach import NEARER, NOT_NEARER, OPEN
from planner.space.flats import Flats, crosses
from planner.space.frames import FloatArray
from planner.space.packed import Pack
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
    look, rows = Look(placed, first, second), np.arange(len(first))
    found = np.full((2, len(first)), np.inf)
    tried = np.zeros(len(first), dtype=bool)
    for batch in look.by_faces(rows):
        found[:, batch.at] = _depths(batch)
        tried[batch.at] = True
    # what lies apart along a face has no depth, whatever its edges say
    least, most = np.where(found[1] <= 0.0, 0.0, found)
    least[~tried] = 0.0
    left = np.flatnonzero(tried & (most > 0.0))
    least[left] = 0.0
    for batch in look.by_edges(rows, left):
        both = np.minimum(found[:, batch.at], _depths(batch))
        least[batch.at], most[batch.at] = np.maximum(0.0, both)
    return least, most


def _depths(batch: _Batch) -> FloatArray:
    """How deep (2, m) [mm] the hulls inside the pieces lie in each other and the pieces may, below zero when apart."""
    return np.stack([np.minimum(-low, high).min(axis=1) for low, high in (batch.inner, batch.outer)])


def meetings(
    look: Look, rows: IntArray, course: Course, limits_mm: tuple[FloatArray, FloatArray]
) -> tuple[IntArray, Span]:
    """Whether of the pairs ``rows`` (m,) each first piece comes to overlap the second by more than a limit.

    The answers (m,) are ``NEARER`` and so on.

    Limits [mm] are known to lie between two numbers; where an answer hangs on which it is, the pair stays open. With it
    the span of travels within which they may meet.
    """
    answers = np.full(len(rows), OPEN, dtype=np.int64)
    may, do = (np.stack([course.start, course.end]) for _ in range(2))
    tried = np.zeros(len(answers), dtype=bool)
    for batch in look.by_faces(rows):
        _narrow(batch, course, limits_mm, (may, do))
        tried[batch.at] = True
    for batch in look.by_edges(rows, np.flatnonzero(tried & (may[0] < may[1]))):
        _narrow(batch, course, limits_mm, (may, do))
        answers[batch.at[do[0, batch.at] < do[1, batch.at]]] = NEARER
    answers[may[0] >= may[1]] = NOT_NEARER
    return answers, (may[0], may[1])


def _narrow(
    batch: _Batch, course: Course, limits_mm: tuple[FloatArray, FloatArray], spans: tuple[FloatArray, FloatArray]
) -> None:
    """Narrow the spans (2, n) of travels, at which pieces may meet and hulls inside them do, by what a batch says."""
    at = batch.at
    offset = np.matmul(batch.directions, course.shift_mm[at][:, :, None])[:, :, 0]
    slopes = np.matmul(batch.directions, course.way[at][:, :, None])[:, :, 0]
    known: Span | None = None
    same = batch.outer is batch.inner and np.array_equal(limits_mm[0][at], limits_mm[1][at])
    for span, (low, high), limit in zip(spans, (batch.outer, batch.inner), limits_mm, strict=True):
        if known is None or not same:
            spare = limit[at][:, None]
            known = span_within(low - offset + spare, high - offset - spare, slopes)
        span[0, at], span[1, at] = np.maximum(known[0], span[0, at]), np.minimum(known[1], span[1, at])


class Look:
    """Pairs of pieces and the hulls inside them, looked at along the directions that may part them."""

    def __init__(self, placed: Placings, first: IntArray, second: IntArray) -> None:
        members, back = np.unique(np.concatenate([first, second]), return_inverse=True)
        pieces = [placed.pieces[k] for k in members.tolist()]
        hulls = [piece.inside for piece in pieces]
        self._flats = Flats(hulls)
        rounds = [k for k, (hull, piece) in enumerate(zip(hulls, pieces, strict=True)) if hull is not piece]
        self._rounds = Pack([pieces[k] for k in rounds])
        self._round = np.full(len(pieces), -1, dtype=np.int64)
        self._round[rounds] = np.arange(len(rounds))
        self._sides = back[: len(first)], back[len(first) :]
        self._shift = placed.places[second] - placed.places[first]

    def by_faces(self, rows: IntArray) -> Iterator[_Batch]:
        """Those of the pairs ``rows`` (m,) that can be looked at so, by their places in it, along the faces of both."""
        first, second = (side[rows] for side in self._sides)
        for at, directions in self._flats.faces_of(first, second):
            yield self._batch(rows, at, directions)

    def by_edges(self, rows: IntArray, chosen: IntArray) -> Iterator[_Batch]:
        """The same of the places ``chosen`` (k,) in ``rows``, along what is square to an edge of each."""
        first, second = (side[rows[chosen]] for side in self._sides)
        for part, one, other in self._flats.edges_of(first, second):
            yield self._batch(rows, chosen[part], self._flats.crossed(first[part], crosses(one, other)))

    def _batch(self, rows: IntArray, at: IntArray, directions: FloatArray) -> _Batch:
        pairs = rows[at]
        apart = np.matmul(directions, self._shift[pairs][:, :, None])[:, :, 0]
        # both sides at once, which takes less time than one after the other
        both = np.concatenate([side[pairs] for side in self._sides])
        inner, whole = self._spans(both, np.concatenate([directions, directions]))
        inner_span = _shifts(apart, inner)
        return _Batch(at, directions, inner_span, inner_span if whole is inner else _shifts(apart, whole))

    def _spans(self, rows: IntArray, directions: FloatArray) -> tuple[Span, Span]:
        """Least and greatest coordinates (m, k) [mm] of the hulls inside pieces and of the whole pieces."""
        inner = self._flats.pack.spans(rows, directions)
        own = self._round[rows]
        at = (own >= 0).nonzero()[0]
        if not len(at):
            return inner, inner
        low, high = inner[0].copy(), inner[1].copy()
        balls = self._rounds.ball_mm[own[at]][:, None]
        found = self._rounds.spans(own[at], directions.take(at, axis=0))
        low[at], high[at] = found[0] - balls, found[1] + balls
        return inner, (low, high)


def _shifts(apart: FloatArray, spans: Span) -> Span:
    """The least and the greatest shift (m, k) [mm] at which pieces overlap, by where the first ones and the second end.

    ``spans`` (2 m, k) twice [mm] are of the first pieces, then of the second, ``apart`` (m, k) how far those lie off.
    """
    (low, high), count = spans, len(apart)
    return apart + low[count:] - high[:count], apart + high[count:] - low[:count]
