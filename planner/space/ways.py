"""Straight ways: what stands in a body's way out, and how far it must go to clear another."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from typing import NamedTuple

import numpy as np

from planner.model.shapes import Direction, Vec
from planner.space.body import Body, shifted
from planner.space.distance import EXACT_MM
from planner.space.frames import FloatArray
from planner.space.pieces import Piece
from planner.space.separation import separation

SLACK_MM = 0.05
"""A way out may graze by this much more than the body overlaps already."""

_ROUNDS = 60
_SPAN_MM = 1e-3
_TOUCH_MM = 1e-6


class Line(NamedTuple):
    """Piece ``a`` on its way along the unit vector ``way`` (3,) past piece ``b``, whose origin is at ``shift_mm``."""

    a: Piece
    b: Piece
    shift_mm: FloatArray
    way: FloatArray

    def at(self, travel_mm: float) -> tuple[float, float]:
        """Gap [mm] after a travel, and how fast it changes [mm/mm]."""
        found = separation(self.a, self.b, self.shift_mm - travel_mm * self.way)
        return found.mm, -float(found.normal @ self.way)


def blocked_by(
    body: Body,
    direction: Direction,
    others: Mapping[str, Body],
    *,
    travel_mm: float = math.inf,
    from_mm: Vec = (0.0, 0.0, 0.0),
) -> frozenset[str]:
    """Which of ``others`` the body meets on its way out along a straight line.

    What a piece of the body already overlaps (its mounting, as measured) it may go on overlapping as deep,
    plus 0.05 mm: sliding along a face is no obstacle.

    Parameters
    ----------
    travel_mm : float [mm]
        How far it goes; to beyond all of them when not said.
    from_mm : Vec [mm]
        How far from its present place it starts, after an earlier leg. What it overlaps is counted where it is now.
    """
    start = shifted(body, from_mm)
    return frozenset(
        name
        for name, other in others.items()
        if _is_ahead(start, direction, other) and _meets(body, start, (direction, travel_mm), other)
    )


def free_interval(a: Body, b: Body, axis: Direction) -> float:
    """Shortest shift [mm] of ``a`` along ``axis`` after which it does not overlap ``b``; 0 when it is clear now.

    Overlap of up to 0.01 mm counts as clear.
    """
    way = np.array(axis.vector)
    spans = []
    for i, j, _ in _in_line(a, b, way):
        span = _overlapping(Line(a.pieces[i], b.pieces[j], b.places[j] - a.places[i], way))
        if span is not None:
            spans.append(span)
    clear = 0.0
    for start, end in sorted(spans):
        if start > clear - EXACT_MM:
            break
        clear = max(clear, end)
    return clear


def _is_ahead(body: Body, direction: Direction, other: Body) -> bool:
    """Whether the other's box lies in the way of the body's box."""
    for axis, way in enumerate(direction.vector):
        if way <= 0.0 and other.lo_mm[axis] >= body.hi_mm[axis]:
            return False
        if way >= 0.0 and other.hi_mm[axis] <= body.lo_mm[axis]:
            return False
    return True


def _meets(body: Body, start: Body, leg: tuple[Direction, float], other: Body) -> bool:
    """Whether the body, having got to ``start``, runs into the other within a leg of so many mm."""
    way = np.array(leg[0].vector)
    rows: dict[int, list[tuple[int, float]]] = {}
    for i, j, far in _in_line(start, other, way):
        rows.setdefault(i, []).append((j, min(far, leg[1])))
    for i, columns in rows.items():
        allowed = present_overlap(body, i, other)
        for j, far in columns:
            run = Line(start.pieces[i], other.pieces[j], other.places[j] - start.places[i], way)
            if reaches(run, (0.0, far), -allowed - SLACK_MM) is not None:
                return True
    return False


def _in_line(a: Body, b: Body, way: FloatArray) -> Iterator[tuple[int, int, float]]:
    """Pairs of pieces whose boxes meet as ``a`` moves along ``way``, and the travel [mm] that passes them."""
    axis = int(np.argmax(np.abs(way)))
    overlap = (a.lows[:, None] < b.highs[None]) & (b.lows[None] < a.highs[:, None])
    overlap[:, :, axis] = True
    if way[axis] > 0.0:
        travel = b.highs[None, :, axis] - a.lows[:, None, axis]
    else:
        travel = a.highs[:, None, axis] - b.lows[None, :, axis]
    for i, j in np.argwhere(overlap.all(axis=2) & (travel > 0.0)).tolist():
        yield i, j, float(travel[i, j])


def present_overlap(body: Body, i: int, other: Body) -> float:
    """How deep [mm] piece ``i`` of the body lies in any piece of the other now."""
    touching = np.all((body.lows[i] < other.highs) & (other.lows < body.highs[i]), axis=1)
    depths = [
        -separation(body.pieces[i], other.pieces[j], other.places[j] - body.places[i]).mm
        for j in np.flatnonzero(touching).tolist()
    ]
    return max([0.0, *depths])


def reaches(run: Line, span: tuple[float, float], limit_mm: float) -> float | None:
    """Return a travel [mm] within ``span`` at which the gap is below ``limit_mm``, None when there is none.

    The signed distance of convex pieces is a convex function of the travel, and the direction that proves it
    gives a line below it: where that line is not below the limit the gap is not either, so every try cuts the
    span at least in half.
    """
    left, right = span
    while right - left > _SPAN_MM:
        tried = (left + right) / 2.0
        mm, slope = run.at(tried)
        if mm < limit_mm:
            return tried
        if slope == 0.0:
            return None
        crossing = tried + (limit_mm - mm) / slope
        if slope < 0.0:
            left = max(tried, crossing)
        else:
            right = min(tried, crossing)
    return None


def _overlapping(run: Line) -> tuple[float, float] | None:
    """Span of travels [mm] within which the pieces overlap by more than 0.01 mm, None when they never do."""
    a, b = run.a.box_mm, run.b.box_mm
    reach = float(np.abs(run.way) @ (a[1] - a[0] + b[1] - b[0])) / 2.0
    middle = float(run.way @ (run.shift_mm + (b[0] + b[1] - a[0] - a[1]) / 2.0))
    inside = reaches(run, (middle - reach, middle + reach), -EXACT_MM)
    if inside is None:
        return None
    return _edge(run, middle - reach), _edge(run, middle + reach)


def _edge(run: Line, start_mm: float) -> float:
    """Travel [mm] nearest to ``start_mm``, which is clear, at which pieces that are known to overlap begin to touch.

    Newton's method; on a convex function it cannot step over the zero.
    """
    at = start_mm
    for _ in range(_ROUNDS):
        mm, slope = run.at(at)
        if mm <= _TOUCH_MM or slope == 0.0:
            break
        at -= mm / slope
    return at
