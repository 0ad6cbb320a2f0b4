"""Pairs of convex pieces looked at closely: the directions that part them, kept for all their legs."""

from __future__ import annotations

import numpy as np

from planner.space.crowd import Crowd
from planner.space.frames import FloatArray
from planner.space.pieces import Hull
from planner.space.spans import Span, span_within
from planner.space.supports import ROUND_DIRECTIONS, extents_of, own_directions, parting_directions

_MOST_CROSSES = 400
"""Beyond so many pairs of edges Newton's method is quicker than trying them all."""


class PairLines:
    """Pairs of pieces looked at one by one; what is found out about a pair is kept for its other legs."""

    def __init__(self, crowd: Crowd) -> None:
        self.crowd = crowd
        self._own: dict[int, FloatArray] = {}
        self._crosses: dict[tuple[int, int], FloatArray] = {}
        self._rounds: dict[int, Span] = {}
        self._sweeps: dict[tuple[int, int], tuple[FloatArray, Span]] = {}

    def swept_span(self, pair: tuple[int, int], ways: FloatArray, sweeps_mm: FloatArray, limits_mm: FloatArray) -> Span:
        """Between which travels (m,) twice [mm] along ``ways`` (m, 3) the first piece may meet the second.

        From there it is to sweep on by ``sweeps_mm`` (m, 3). Exact for flat-sided pieces swept along an axis, from
        outside for round ones.
        """
        if pair not in self._sweeps:
            self._sweeps[pair] = self._sweep(pair)
        directions, (least, most) = self._sweeps[pair]
        swept = sweeps_mm @ directions.T
        return span_within(
            least - np.maximum(swept, 0.0) + limits_mm[:, None],
            most - np.minimum(swept, 0.0) - limits_mm[:, None],
            ways @ directions.T,
        )

    def _sweep(self, pair: tuple[int, int]) -> tuple[FloatArray, Span]:
        pieces, hulls = [self.crowd.pieces[k] for k in pair], [self._hull(k) for k in pair]
        rows = [self._own_directions(k) for k in pair]
        if _are_few(*hulls):
            rows.append(self._crosses_of(pair))
        # two round pieces that touch slide along each other: only the very normal of the touch tells that from a clash
        touch = self.crowd.present_normal(*pair)
        if touch is not None:
            rows.append(touch[None, :])
        directions = np.vstack(rows)
        a, b = (extents_of(piece, directions) for piece in pieces)
        if any(hull is not piece for hull, piece in zip(hulls, pieces, strict=True)):
            directions = np.vstack([directions, ROUND_DIRECTIONS])
            a, b = (_joined(e, self._all_round(k)) for e, k in zip((a, b), pair, strict=True))
        apart = directions @ (self.crowd.places[pair[1]] - self.crowd.places[pair[0]])
        return directions, _overlaps(apart, a, b)

    def _all_round(self, piece: int) -> Span:
        if piece not in self._rounds:
            self._rounds[piece] = extents_of(self.crowd.pieces[piece], ROUND_DIRECTIONS)
        return self._rounds[piece]

    def _crosses_of(self, pair: tuple[int, int]) -> FloatArray:
        key = min(pair), max(pair)
        if key not in self._crosses:
            self._crosses[key] = parting_directions(*(self._hull(k) for k in key))
        return self._crosses[key]

    def _own_directions(self, piece: int) -> FloatArray:
        if piece not in self._own:
            self._own[piece] = own_directions(self._hull(piece))
        return self._own[piece]

    def _hull(self, piece: int) -> Hull:
        return self.crowd.pieces[piece].inside


def _are_few(a: Hull, b: Hull) -> bool:
    return len(a.edges) * len(b.edges) <= _MOST_CROSSES


def _joined(one: Span, other: Span) -> Span:
    return np.append(one[0], other[0]), np.append(one[1], other[1])


def _overlaps(apart: FloatArray, a: Span, b: Span) -> Span:
    return apart + b[0] - a[1], apart + b[1] - a[0]
