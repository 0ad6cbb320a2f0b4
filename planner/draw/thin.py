"""Corners that nobody could see, left out: outlines of round and meshed parts would be most of the file."""

from __future__ import annotations

import math
from itertools import pairwise

from planner.space import Polygon

SLACK_MM = 0.02
"""How far a left-out corner may lie off the line drawn instead [mm on the paper]."""


def thinned(rim: Polygon, *, closed: bool, slack_mm: float = SLACK_MM) -> Polygon:
    """The rim with the fewest corners kept that stay within the slack, at least two.

    Halved at the farthest corner again and again (Douglas and Peucker, "Algorithms for the reduction of the number of
    points required to represent a digitized line", 1973); a closed rim is first halved at the corner farthest from its
    first one.

    Examples
    --------
    >>> thinned(((0.0, 0.0), (5.0, 0.01), (10.0, 0.0), (10.0, 5.0)), closed=False)
    ((0.0, 0.0), (10.0, 0.0), (10.0, 5.0))
    """
    if len(rim) <= 2:  # noqa: PLR2004  # two corners make a line
        return rim
    line = (*rim, rim[0]) if closed else rim
    kept = {0, len(line) - 1}
    if closed:
        kept.add(max(range(1, len(rim)), key=lambda n: (math.dist(rim[0], rim[n]), -n)))
    ends = sorted(kept)
    todo = list(pairwise(ends))
    while todo:
        first, last = todo.pop()
        between = range(first + 1, last)
        if not between:
            continue
        far = max(between, key=lambda n: (_off(line[n], line[first], line[last]), -n))
        if _off(line[far], line[first], line[last]) > slack_mm:
            kept.add(far)
            todo += [(first, far), (far, last)]
    corners = sorted(kept)
    return tuple(line[n] for n in (corners[:-1] if closed else corners))


def _off(point: tuple[float, float], a: tuple[float, float], b: tuple[float, float]) -> float:
    """Distance of a point from the stretch a-b."""
    dx, dy = b[0] - a[0], b[1] - a[1]
    square = dx * dx + dy * dy
    share = 0.0 if square == 0.0 else ((point[0] - a[0]) * dx + (point[1] - a[1]) * dy) / square
    share = min(max(share, 0.0), 1.0)
    return math.hypot(point[0] - a[0] - share * dx, point[1] - a[1] - share * dy)
