"""What stands in the straight legs of many bodies at once.

The same question as :func:`planner.space.ways.blocked_by`, with the same answers. In order, each on what the step
before left open: boxes of bodies, boxes of pieces, fixed directions that part two pieces all along the leg (exact for
upright boxes), boxes inside the pieces that meet; then, pair by pair, the directions of the separating axis theorem
for sharp-edged pieces and Newton's method for round ones.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np

from planner.space.crowd import Crowd, Pairs, Passage, vectors_of
from planner.space.frames import FloatArray
from planner.space.pair_lines import PairLines, Span, span_within
from planner.space.pieces import IntArray
from planner.space.supports import DIRECTIONS
from planner.space.ways import SLACK_MM


class _Legs(NamedTuple):
    """Passages in arrays: body (n,), unit vector (n, 3), travel (n,) [mm], start (n, 3) [mm]."""

    body: IntArray
    way: FloatArray
    travel_mm: FloatArray
    start_mm: FloatArray


def blocked_all(crowd: Crowd, passages: Sequence[Passage]) -> list[frozenset[str]]:
    """Which bodies of the crowd stand in each passage, in the order asked."""
    found: list[set[str]] = [set() for _ in passages]
    if not passages:
        return []
    legs = _legs(crowd, passages)
    end = legs.start_mm + legs.way * legs.travel_mm[:, None]
    low, high = np.minimum(legs.start_mm, end), np.maximum(legs.start_mm, end)
    rows, others = crowd.met(legs.body, crowd.lows[legs.body] + low, crowd.highs[legs.body] + high)
    pairs = crowd.pairs(rows, legs.body[rows], others)
    near = crowd.in_line(pairs, low, high)
    hits = _decided(crowd, legs, Pairs(*(column[near] for column in pairs)))
    for row, other in hits:
        found[row].add(crowd.names[other])
    return [frozenset(names) for names in found]


def _legs(crowd: Crowd, passages: Sequence[Passage]) -> _Legs:
    body = np.array([crowd.index[passage.body] for passage in passages])
    start = np.array([passage.from_mm for passage in passages])
    beyond = float(np.sum(crowd.highs.max(axis=0) - crowd.lows.min(axis=0)) * 2.0 + np.abs(start).max())
    travel = np.minimum(np.array([passage.travel_mm for passage in passages]), beyond)
    return _Legs(body, vectors_of([passage.direction for passage in passages]), travel, start)


def _decided(crowd: Crowd, legs: _Legs, pairs: Pairs) -> set[tuple[int, int]]:
    """(row, body) of every pair of pieces that meet."""
    limit = np.full(len(pairs.row), SLACK_MM)
    shift, way = legs.start_mm[pairs.row], legs.way[pairs.row]
    span = fixed_span(crowd, pairs, (shift, way), limit)
    open_ = _lasts(span, legs.travel_mm[pairs.row])
    pairs, shift, way = Pairs(*(column[open_] for column in pairs)), shift[open_], way[open_]
    limit = SLACK_MM + crowd.allowed_mm(pairs.first, pairs.second)
    start, end = fixed_span(crowd, pairs, (shift, way), limit)
    travel = legs.travel_mm[pairs.row]
    open_ = _lasts((start, end), travel)
    sure = open_ & crowd.upright[pairs.first] & crowd.upright[pairs.second]
    sure |= open_ & _lasts(inner_span(crowd, pairs, (shift, way), limit), travel)
    owners = crowd.owner[pairs.second]
    hits = set(zip(pairs.row[sure].tolist(), owners[sure].tolist(), strict=True))
    start, end = np.maximum(start, 0.0), np.minimum(end, travel)
    left = np.flatnonzero(open_ & ~sure)
    near = PairLines(crowd)
    for k in left[np.argsort(start[left] - end[left], kind="stable")].tolist():
        key = (int(pairs.row[k]), int(owners[k]))
        if key not in hits and near.meets(
            (int(pairs.first[k]), int(pairs.second[k])), (shift[k], way[k]), (start[k], end[k]), limit[k]
        ):
            hits.add(key)
    return hits


def _lasts(span: Span, travel_mm: FloatArray) -> np.ndarray[tuple[int, ...], np.dtype[np.bool_]]:
    """Whether any of the span lies within the travel."""
    return np.maximum(span[0], 0.0) < np.minimum(span[1], travel_mm)


def fixed_span(
    crowd: Crowd,
    pairs: Pairs,
    line: tuple[FloatArray, FloatArray],
    limit_mm: FloatArray,
    sweep_mm: FloatArray | None = None,
) -> Span:
    """Between which travels (m,) twice [mm] no fixed direction keeps the overlap of two pieces within the limit.

    ``line`` is where the first piece starts (m, 3) off its present place and the unit vector (m, 3) it goes along.
    With ``sweep_mm`` (m, 3) that piece stands for all it passes through when it is then shifted by so much.
    """
    shift, way = line
    slopes, offset = way @ DIRECTIONS.T, shift @ DIRECTIONS.T
    swept = np.zeros_like(slopes) if sweep_mm is None else sweep_mm @ DIRECTIONS.T
    least = crowd.extent_lows[pairs.second] - crowd.extent_highs[pairs.first] - offset - np.maximum(swept, 0.0)
    most = crowd.extent_highs[pairs.second] - crowd.extent_lows[pairs.first] - offset - np.minimum(swept, 0.0)
    return span_within(least + limit_mm[:, None], most - limit_mm[:, None], slopes)


def inner_span(crowd: Crowd, pairs: Pairs, line: tuple[FloatArray, FloatArray], limit_mm: FloatArray) -> Span:
    """Between which travels (m,) twice [mm] the boxes inside two pieces overlap by more than the limit."""
    shift, way = line
    least = crowd.inner_lows[pairs.second] - crowd.inner_highs[pairs.first] - shift
    most = crowd.inner_highs[pairs.second] - crowd.inner_lows[pairs.first] - shift
    return span_within(least + limit_mm[:, None], most - limit_mm[:, None], way)
