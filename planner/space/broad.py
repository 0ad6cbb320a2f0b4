"""Which bodies are near each other at all, by their boxes."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from planner.space.body import Body


def near_pairs(bodies: Sequence[Body], margin_mm: float) -> list[tuple[int, int]]:
    """Pairs (i, j), i < j, in rising order, whose boxes come within ``margin_mm`` on every axis.

    Sort and sweep along the axis on which the boxes spread the most.
    """
    if len(bodies) < 2:  # noqa: PLR2004 - a pair needs two
        return []
    lows = np.array([body.lo_mm for body in bodies])
    highs = np.array([body.hi_mm for body in bodies]) + margin_mm
    axis = int(np.argmax(np.std(lows + highs, axis=0) / (1e-9 + np.mean(highs - lows, axis=0))))
    order = np.argsort(lows[:, axis], kind="stable")
    lows, highs = lows[order], highs[order]
    ends = np.searchsorted(lows[:, axis], highs[:, axis], side="right")
    counts = np.maximum(ends - np.arange(len(order)) - 1, 0)
    first = np.repeat(np.arange(len(order)), counts)
    starts = np.cumsum(counts) - counts
    second = np.arange(len(first)) - starts[first] + first + 1
    touching = np.all((lows[first] <= highs[second]) & (lows[second] <= highs[first]), axis=1)
    one, other = order[first[touching]], order[second[touching]]
    pairs = np.column_stack([np.minimum(one, other), np.maximum(one, other)])
    pairs = pairs[np.lexsort((pairs[:, 1], pairs[:, 0]))]
    return [(i, j) for i, j in pairs.tolist()]
