"""Which bodies are near each other at all, by their boxes."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from planner.space.body import Body
from planner.space.frames import FloatArray
from planner.space.surfaces import IntArray

_FEW = 200
"""Up to so many boxes one column holds them all: a sweep along one axis is enough."""
_CROWDING = 6
"""Boxes are entered in so many columns each, on average, at most."""
_COLUMNS = 1 << 20
"""Columns along either axis at most."""
_NARROW_MM = 1e-6


def near_pairs(bodies: Sequence[Body], margin_mm: float) -> list[tuple[int, int]]:
    """Pairs (i, j), i < j, in rising order, whose boxes come within ``margin_mm`` on every axis."""
    first, second = near_rows(*box_corners(bodies), np.full(len(bodies), margin_mm))
    return list(zip(first.tolist(), second.tolist(), strict=True))


def box_corners(bodies: Sequence[Body]) -> tuple[FloatArray, FloatArray]:
    """Low and high corners (n, 3) [mm] of the boxes of bodies."""
    corners = np.array([(*body.lo_mm, *body.hi_mm) for body in bodies], dtype=np.float64).reshape(-1, 6)
    return corners[:, :3], corners[:, 3:]


def near_rows(lows: FloatArray, highs: FloatArray, margins_mm: FloatArray) -> tuple[IntArray, IntArray]:
    """Pairs (m,) of boxes (n, 3), the lesser first, in rising order, no farther apart on any axis than their margin.

    Of two margins (n,) the larger counts. The boxes stand in columns of square ground plan; in each column a sort
    and sweep along the third axis. A pair that shares several columns is told in the one where both are first.
    """
    none = np.zeros(0, dtype=np.int64)
    if len(lows) < 2:  # noqa: PLR2004 - a pair needs two
        return none, none
    sweep = int(np.argmax(np.std(lows + highs, axis=0) / (_NARROW_MM + np.mean(highs - lows, axis=0))))
    plan = [axis for axis in range(3) if axis != sweep]
    grow = np.maximum(margins_mm, 0.0)[:, None] * (0.5 if np.ptp(margins_mm) == 0.0 else 1.0)
    # a hair more, so that rounding loses no pair that just touches
    low, high = lows - grow - _NARROW_MM, highs + grow + _NARROW_MM
    low_cell, high_cell = _cells(low[:, plan], high[:, plan])
    box, cell = _entries(low_cell, high_cell)
    first, second = _swept(low[:, sweep], high[:, sweep], box, cell)
    mine, theirs = box[first], box[second]
    for axis in range(2):
        home = np.maximum(low_cell[:, axis].take(mine), low_cell[:, axis].take(theirs)) == cell[:, axis].take(first)
        first, mine, theirs = first[home], mine[home], theirs[home]
    for axis in (*plan, sweep):
        margin = np.maximum(margins_mm.take(mine), margins_mm.take(theirs))
        least, most = lows[:, axis], highs[:, axis]
        near = least.take(mine) <= most.take(theirs) + margin
        near &= least.take(theirs) <= most.take(mine) + margin
        mine, theirs = mine[near], theirs[near]
    keys = np.sort(np.minimum(mine, theirs) * len(lows) + np.maximum(mine, theirs))
    first, second = np.divmod(keys, len(lows))
    return first, second


def _cells(low: FloatArray, high: FloatArray) -> tuple[IntArray, IntArray]:
    """First and last column (n, 2), along either axis of the ground plan, that each box stands in."""
    start, width = low.min(axis=0), np.maximum(high - low, _NARROW_MM)
    side = np.full(2, np.inf) if len(low) <= _FEW else 2.0 * np.median(width, axis=0)
    side = np.maximum(side, np.ptp(low, axis=0) / _COLUMNS)
    while True:
        low_cell, high_cell = (np.floor((end - start) / side).astype(np.int64) for end in (low, high))
        if np.prod(high_cell - low_cell + 1, axis=1, dtype=np.float64).sum() <= _CROWDING * len(low):
            return low_cell, high_cell
        side *= 1.5


def _entries(low_cell: IntArray, high_cell: IntArray) -> tuple[IntArray, IntArray]:
    """Every box with every column it stands in: boxes (e,) and columns (e, 2)."""
    sizes = high_cell - low_cell + 1
    counts = sizes.prod(axis=1)
    box = np.repeat(np.arange(len(counts)), counts)
    within = np.arange(len(box)) - np.repeat(np.cumsum(counts) - counts, counts)
    deep = sizes[box, 1]
    return box, low_cell[box] + np.column_stack([within // deep, within % deep])


def _swept(low: FloatArray, high: FloatArray, box: IntArray, cell: IntArray) -> tuple[IntArray, IntArray]:
    """Pairs of entries of one column whose boxes overlap along the axis of the sweep."""
    _, column = np.unique(cell[:, 0] * (int(cell[:, 1].max()) + 1) + cell[:, 1], return_inverse=True)
    base = float(low.min())
    # columns one after the other on one long line, so far apart that no box reaches into the next
    stride = 2.0 * (float(high.max()) - base) + 1.0
    start, end = column * stride + (low[box] - base), column * stride + (high[box] - base)
    order = np.argsort(start, kind="stable")
    ends = np.searchsorted(start[order], end[order], side="right")
    counts = np.maximum(ends - np.arange(len(order)) - 1, 0)
    first = np.repeat(np.arange(len(order)), counts)
    second = np.arange(len(first)) - np.repeat(np.cumsum(counts) - counts, counts) + first + 1
    return order[first], order[second]
