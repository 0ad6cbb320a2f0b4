"""What stands in the straight legs of many bodies at once.

The same question as :func:`planner.space.ways.blocked_by`, with the same answers. In order, each on what the step
before left open: boxes of bodies, boxes of pieces, fixed directions that part two pieces all along the leg (exact for
upright boxes), rounded blocks inside the pieces that meet; then the directions of the separating axis theorem for
sharp-edged pieces and, pair by pair, Newton's method for round ones.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np

from planner.space.approach import NEARER, OPEN
from planner.space.crowd import Crowd, Pairs, Passage, vectors_of
from planner.space.frames import FloatArray
from planner.space.pair_batches import Course, Look, Placings, meetings
from planner.space.spans import Span, span_within
from planner.space.supports import DIRECTIONS
from planner.space.surfaces import IntArray
from planner.space.ways import SLACK_MM, Line, reaches

_SURE_MM = 1e-9


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
    travel = legs.travel_mm[pairs.row]
    line = legs.start_mm[pairs.row], legs.way[pairs.row]
    span = fixed_span(crowd, pairs, line, np.full(len(pairs.row), SLACK_MM))
    lasts = _lasts(span, travel)
    pairs, line, travel = _some(lasts, pairs, line, travel)
    least, most = (SLACK_MM + depth for depth in crowd.allowed_between(pairs.first, pairs.second))
    start, end = span[0][lasts], span[1][lasts]
    deep = np.flatnonzero(least > SLACK_MM)
    start[deep], end[deep] = fixed_span(crowd, *_some(deep, pairs, line, least))
    open_ = _lasts((start, end), travel)
    sure = open_ & crowd.upright[pairs.first] & crowd.upright[pairs.second]
    sure[sure] = _lasts(fixed_span(crowd, *_some(sure, pairs, line, most)), travel[sure])
    left = np.flatnonzero(open_ & ~sure)
    owners = crowd.owner[pairs.second]
    course = Course(*line, np.maximum(start, 0.0), np.minimum(end, travel))
    sure[left] |= _run_in(crowd, pairs, course, left) > most[left]
    hits = set(zip(pairs.row[sure].tolist(), owners[sure].tolist(), strict=True))
    keys = zip(pairs.row[left].tolist(), owners[left].tolist(), strict=True)
    left = left[np.array([key not in hits for key in keys], dtype=bool)]
    _settle(crowd, pairs, (course, (least, most)), left, hits)
    return hits


def _run_in(crowd: Crowd, pairs: Pairs, course: Course, rows: IntArray) -> FloatArray:
    """How deep (m,) [mm] the first pieces of some rows surely get into the second."""
    if not len(rows):
        return np.zeros(0)
    shift, way, start, end = (column[rows] for column in course)
    return crowd.cushions.run_in((pairs.first[rows], pairs.second[rows]), (shift, way), (start, end))


def _some(
    rows: IntArray | np.ndarray[tuple[int, ...], np.dtype[np.bool_]],
    pairs: Pairs,
    line: tuple[FloatArray, FloatArray],
    column: FloatArray,
) -> tuple[Pairs, tuple[FloatArray, FloatArray], FloatArray]:
    """Some of the rows of pairs, of their lines and of one thing more."""
    return Pairs(*(own[rows] for own in pairs)), (line[0][rows], line[1][rows]), column[rows]


def _settle(
    crowd: Crowd,
    pairs: Pairs,
    asked: tuple[Course, tuple[FloatArray, FloatArray]],
    left: IntArray,
    hits: set[tuple[int, int]],
) -> None:
    """Add to the hits those rows ``left`` that meet: of each leg and body the pair with the longest span goes first."""
    course, limits = asked
    owners = crowd.owner[pairs.second]
    if not len(left):
        return
    left = left[np.argsort(course.start[left] - course.end[left], kind="stable")]
    _, firsts = np.unique(pairs.row[left] * len(crowd.names) + owners[left], return_index=True)
    is_first = np.zeros(len(left), dtype=bool)
    is_first[firsts] = True
    look = Look(Placings(crowd.pieces, crowd.places), pairs.first[left], pairs.second[left])
    for these in (np.flatnonzero(is_first), np.flatnonzero(~is_first)):
        keys = zip(pairs.row[left[these]].tolist(), owners[left[these]].tolist(), strict=True)
        batch = these[np.array([key not in hits for key in keys], dtype=bool)]
        if not len(batch):
            continue
        rows = left[batch]
        own = Course(*(column[rows] for column in course))
        both = limits[0][rows], limits[1][rows]
        answers, span = meetings(look, batch, own, both)
        met = rows[answers == NEARER]
        hits.update(zip(pairs.row[met].tolist(), owners[met].tolist(), strict=True))
        for k in np.flatnonzero(answers == OPEN).tolist():
            key = (int(pairs.row[rows[k]]), int(owners[rows[k]]))
            pair = int(pairs.first[rows[k]]), int(pairs.second[rows[k]])
            if key not in hits and _reaches(crowd, pair, own, (k, float(span[0][k]), float(span[1][k])), both):
                hits.add(key)


def _reaches(
    crowd: Crowd,
    pair: tuple[int, int],
    course: Course,
    span: tuple[int, float, float],
    limits: tuple[FloatArray, FloatArray],
) -> bool:
    """Whether the first piece of a pair, on row ``span[0]`` of a course, meets the second: by Newton's method."""
    (first, second), (k, start, end) = pair, span
    limit = float(limits[0][k])
    if limits[1][k] > limit + _SURE_MM:
        limit = SLACK_MM + crowd.allowed_exactly(first, int(crowd.owner[second]))
    start, end = _before_normal(crowd, pair, (course.shift_mm[k], course.way[k]), (start, end), limit)
    shift = crowd.places[second] - crowd.places[first] - course.shift_mm[k]
    run = Line(crowd.pieces[first], crowd.pieces[second], shift, course.way[k])
    return reaches(run, (start, end), -limit) is not None


def _before_normal(
    crowd: Crowd,
    pair: tuple[int, int],
    line: tuple[FloatArray, FloatArray],
    span: tuple[float, float],
    limit_mm: float,
) -> tuple[float, float]:
    """What is left of a span by the direction that proves how deep the two lie in each other now, if that is known.

    Along it the pieces are never deeper than they are now and have gone deeper since: most legs that lead out end here.
    """
    known = crowd.present_normal(*pair)
    if known is None:
        return span
    normal = known if pair[0] < pair[1] else -known
    speed = float(normal @ line[1])
    spare = limit_mm - crowd.present_depth_mm(*pair) - float(normal @ line[0])
    if abs(speed) < _SURE_MM:
        return span if spare < _SURE_MM else (0.0, 0.0)
    cross_mm = spare / speed
    return (max(span[0], cross_mm), span[1]) if speed > 0.0 else (span[0], min(span[1], cross_mm))


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
