"""What can be wrong with a line of points."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

Flat = tuple[float, float]

SAME_MM = 0.001
"""Points nearer than this are one."""


def repeated(points: Sequence[Sequence[float]], *, closed: bool) -> tuple[int, int] | None:
    """Find the first two neighbours (from 0) that are the same; the first follows the last if closed."""
    for index, (before, here) in enumerate(pairwise(points), start=1):
        if _same(before, here):
            return index - 1, index
    return (0, len(points) - 1) if closed and _same(points[0], points[-1]) else None


def is_flat(points: Sequence[Flat]) -> bool:
    """Whether all points lie on one line."""
    return all(_turn(points[0], points[1], point) == 0 for point in points[2:])


def _same(one: Sequence[float], other: Sequence[float]) -> bool:
    return max(abs(a - b) for a, b in zip(one, other, strict=True)) < SAME_MM


def crossing(points: Sequence[Flat]) -> tuple[int, int] | None:
    """Find the first two sides that meet though they are no neighbours; side i (from 0) starts at point i.

    Sides that only double back on their neighbour meet too.
    """
    count = len(points)
    sides = [(points[i], points[(i + 1) % count]) for i in range(count)]
    for i in range(count):
        for j in range(i + 1, count):
            if j == i + 1 or (i == 0 and j == count - 1):
                first, second = (i, j) if j == i + 1 else (j, i)
                if _doubles_back(sides[first], sides[second]):
                    return (i, j)
            elif _meet(sides[i], sides[j]):
                return (i, j)
    return None


Side = tuple[Flat, Flat]


def _turn(a: Flat, b: Flat, c: Flat) -> float:
    """Twice the signed area of a triangle; nothing when its height is nothing [mm^2]."""
    twice = (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])
    longest = max(abs(b[0] - a[0]), abs(b[1] - a[1]), abs(c[0] - a[0]), abs(c[1] - a[1]))
    return 0.0 if abs(twice) <= 1e-9 * longest * longest else twice


def _doubles_back(first: Side, second: Side) -> bool:
    (a, b), (_, c) = first, second
    if _turn(a, b, c) != 0:
        return False
    return (a[0] - b[0]) * (c[0] - b[0]) + (a[1] - b[1]) * (c[1] - b[1]) > 0


def _meet(first: Side, second: Side) -> bool:
    (a, b), (c, d) = first, second
    one, two = _turn(a, b, c), _turn(a, b, d)
    three, four = _turn(c, d, a), _turn(c, d, b)
    if _opposite(one, two) and _opposite(three, four):
        return True
    touching = ((one, first, c), (two, first, d), (three, second, a), (four, second, b))
    return any(turn == 0 and _between(side, point) for turn, side, point in touching)


def _opposite(one: float, other: float) -> bool:
    return (one > 0 > other) or (one < 0 < other)


def _between(side: Side, point: Flat) -> bool:
    (a, b), (c, d) = side
    return min(a, c) <= point[0] <= max(a, c) and min(b, d) <= point[1] <= max(b, d)
