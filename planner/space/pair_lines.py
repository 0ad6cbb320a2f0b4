"""Pairs of convex pieces looked at closely: the directions that part them, kept for all their legs."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from planner.space.crowd import Crowd
from planner.space.frames import FloatArray
from planner.space.pieces import Hull
from planner.space.supports import ROUND_DIRECTIONS, extents_of, flat_sided, own_directions, parting_directions
from planner.space.ways import Line, reaches

_MOST_CROSSES = 400
"""Beyond so many pairs of edges Newton's method is quicker than trying them all."""

Span = tuple[FloatArray, FloatArray]
"""Where something begins and ends (m,) twice [mm]; it never happens where it begins no sooner than it ends."""


def span_within(least: FloatArray, most: FloatArray, slopes: FloatArray) -> Span:
    """Between which travels t (m,) [mm] ``least < slope * t < most`` holds in every column (m, k)."""
    with np.errstate(divide="ignore", invalid="ignore"):
        one, other = least / slopes, most / slopes
    level = np.abs(slopes) < 1e-12  # noqa: PLR2004 - rounding of a unit vector
    shut = level & ~((least < 0.0) & (most > 0.0))
    starts = np.where(level, np.where(shut, np.inf, -np.inf), np.minimum(one, other))
    ends = np.where(level, np.where(shut, -np.inf, np.inf), np.maximum(one, other))
    empty = least >= most
    starts, ends = np.where(empty, np.inf, starts), np.where(empty, -np.inf, ends)
    return starts.max(axis=1), ends.min(axis=1)


class _Parting(NamedTuple):
    """What parts two pieces: unit directions (n, 3), and the least and greatest shift (n,) [mm] at which they overlap.

    ``inner`` are the same for hulls inside the two, for which these directions tell all.
    """

    directions: FloatArray
    outer: Span
    inner: Span

    def span(self, bounds: Span, line: tuple[FloatArray, FloatArray], limit_mm: float) -> tuple[float, float]:
        """Travels [mm] between which the overlap is more than the limit along every direction."""
        offset, slopes = self.directions @ line[0], self.directions @ line[1]
        start, end = span_within(
            (bounds[0] - offset + limit_mm)[None], (bounds[1] - offset - limit_mm)[None], slopes[None]
        )
        return float(start[0]), float(end[0])


class PairLines:
    """Pairs of pieces looked at one by one; what is found out about a pair is kept for its other legs."""

    def __init__(self, crowd: Crowd) -> None:
        self.crowd = crowd
        self._hulls: dict[int, Hull] = {}
        self._own: dict[int, FloatArray] = {}
        self._crosses: dict[tuple[int, int], FloatArray] = {}
        self._rounds: dict[int, Span] = {}
        self._sweeps: dict[tuple[int, int], tuple[FloatArray, Span]] = {}
        self._partings: dict[tuple[int, int], _Parting | None] = {}

    def meets(
        self, pair: tuple[int, int], line: tuple[FloatArray, FloatArray], span: tuple[float, float], limit_mm: float
    ) -> bool:
        """Whether the first piece comes to overlap the second by more than the limit within a span of its line."""
        parting = self._parting(pair)
        if parting is not None:
            start, end = parting.span(parting.outer, line, limit_mm)
            span = max(start, span[0]), min(end, span[1])
            if span[0] >= span[1]:
                return False
            start, end = parting.span(parting.inner, line, limit_mm)
            if max(start, span[0]) < min(end, span[1]):
                return True
        a, b = pair
        places = self.crowd.places
        run = Line(self.crowd.pieces[a], self.crowd.pieces[b], places[b] - places[a] - line[0], line[1])
        return reaches(run, span, -limit_mm) is not None

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

    def _parting(self, pair: tuple[int, int]) -> _Parting | None:
        if pair not in self._partings:
            a, b = (self._hull(k) for k in pair)
            self._partings[pair] = self._part(pair, (a, b)) if _are_few(a, b) else None
        return self._partings[pair]

    def _part(self, pair: tuple[int, int], hulls: tuple[Hull, Hull]) -> _Parting:
        directions = self._crosses_of(pair)
        apart = directions @ (self.crowd.places[pair[1]] - self.crowd.places[pair[0]])
        inner = _overlaps(apart, hulls[0].span(directions), hulls[1].span(directions))
        pieces = [self.crowd.pieces[k] for k in pair]
        if pieces[0] is hulls[0] and pieces[1] is hulls[1]:
            return _Parting(directions, inner, inner)
        extents = [extents_of(piece, directions) for piece in pieces]
        return _Parting(directions, _overlaps(apart, extents[0], extents[1]), inner)

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
        if piece not in self._hulls:
            self._hulls[piece] = flat_sided(self.crowd.pieces[piece])
        return self._hulls[piece]


def _are_few(a: Hull, b: Hull) -> bool:
    return len(a.edges) * len(b.edges) <= _MOST_CROSSES


def _joined(one: Span, other: Span) -> Span:
    return np.append(one[0], other[0]), np.append(one[1], other[1])


def _overlaps(apart: FloatArray, a: Span, b: Span) -> Span:
    return apart + b[0] - a[1], apart + b[1] - a[0]
