"""Outlines and runs cut to a rectangle, so that leaders end on what is left of them."""

from __future__ import annotations

from itertools import pairwise

from planner.space import Polygon

Flat = tuple[float, float]
Rect = tuple[Flat, Flat]
"""Least and greatest corner in a plane."""


def cut_outline(outline: tuple[Polygon, ...], rect: Rect) -> tuple[Polygon, ...]:
    """The rims of an outline within a rectangle, each cut by itself.

    A rim that the rectangle parts comes out as one polygon with a seam along an edge (Sutherland and Hodgman,
    "Reentrant polygon clipping", 1974); its area and its level lines are right.
    """
    cut = []
    for rim in outline:
        left: list[Flat] = list(rim)
        for axis in (0, 1):
            left = _beyond(left, axis, rect[0][axis], 1.0)
            left = _beyond(left, axis, rect[1][axis], -1.0)
        if left:
            cut.append(tuple(left))
    return tuple(cut)


def _beyond(rim: list[Flat], axis: int, limit: float, sign: float) -> list[Flat]:
    """The part of a rim on the greater (sign 1) or lesser (sign -1) side of a limit on an axis."""
    kept: list[Flat] = []
    for a, b in zip(rim, (*rim[1:], *rim[:1]), strict=True):
        a_over, b_over = sign * (a[axis] - limit), sign * (b[axis] - limit)
        if a_over >= 0.0:
            kept.append(a)
        if (a_over < 0.0) != (b_over < 0.0):
            share = a_over / (a_over - b_over)
            kept.append((a[0] + share * (b[0] - a[0]), a[1] + share * (b[1] - a[1])))
    return kept


def cut_run(run: Polygon, rect: Rect) -> tuple[Polygon, ...]:
    """The stretches of an open line within a rectangle."""
    found: list[list[Flat]] = []
    for a, b in pairwise(run):
        part = leg_within(a, b, rect[0], rect[1])
        if part is None:
            continue
        start, finish = (_point(a, b, t) for t in part)
        if found and found[-1][-1] == start:
            found[-1].append(finish)
        else:
            found.append([start, finish])
    return tuple(tuple(stretch) for stretch in found)


def leg_within(
    a: tuple[float, ...], b: tuple[float, ...], low: tuple[float, ...], high: tuple[float, ...]
) -> tuple[float, float] | None:
    """From which to which share of the leg a-b it lies in a box of as many axes; None when it passes by.

    Liang and Barsky's way of narrowing the share axis by axis ("A new concept and method for line clipping", 1984).
    """
    first, last = 0.0, 1.0
    for start, finish, least, most in zip(a, b, low, high, strict=True):
        if start == finish:
            if not least <= start <= most:
                return None
            continue
        near, far = sorted(((least - start) / (finish - start), (most - start) / (finish - start)))
        first, last = max(first, near), min(last, far)
    return (first, last) if first <= last else None


def _point(a: Flat, b: Flat, share: float) -> Flat:
    if share in {0.0, 1.0}:
        return b if share else a
    return a[0] + share * (b[0] - a[0]), a[1] + share * (b[1] - a[1])
