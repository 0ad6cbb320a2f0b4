"""Taking assemblies apart by trying: each part is stepped along its legs by whole millimetres and looked at every time.

It shares no code with planner/: shapes are upright prisms over a rectangle, a circle or a triangle, and whether two of
them overlap is plain arithmetic in the ground plan and along the height. Where every part can be turned so that all
are upright prisms over one plane, nothing here is less than exact at the steps tried.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import combinations

import numpy as np
import numpy.typing as npt

Array = npt.NDArray[np.float64]
Ways = tuple[tuple[int, int], ...]
WAYS: Ways = tuple((axis, sign) for axis in range(3) for sign in (-1, 1))
"""(axis, sign): x is rearward, y to the right, z up."""
NAMES = {(0, -1): "forwards", (0, 1): "rearwards", (1, -1): "left", (1, 1): "right", (2, 1): "up", (2, -1): "down"}


@dataclass(frozen=True)
class Prism:
    """Corners in the ground plan, anticlockwise (rectangle, triangle), or a circle; and the span of heights."""

    low: float
    high: float
    corners: tuple[tuple[float, float], ...] = ()
    centre: tuple[float, float] = (0.0, 0.0)
    radius: float = 0.0

    @property
    def box(self) -> tuple[Array, Array]:
        if self.corners:
            plan = np.array(self.corners)
            low, high = plan.min(axis=0), plan.max(axis=0)
        else:
            low, high = np.array(self.centre) - self.radius, np.array(self.centre) + self.radius
        return np.array([*low, self.low]), np.array([*high, self.high])


def depth(a: Prism, b: Prism, x: Array, y: Array, z: Array) -> Array:
    """How deep ``a``, shifted by (x, y, z), is in ``b``; 0 or less when they are apart or touch."""
    tall = np.minimum(a.high + z - b.low, b.high - a.low - z)
    if a.corners and b.corners:
        plan = _polygons(a, b, x, y)
    elif not a.corners and not b.corners:
        plan = a.radius + b.radius - np.hypot(a.centre[0] + x - b.centre[0], a.centre[1] + y - b.centre[1])
    elif a.corners:
        plan = _circle_in(b, a, -x, -y)
    else:
        plan = _circle_in(a, b, x, y)
    return np.minimum(tall, plan)


def _normals(corners: tuple[tuple[float, float], ...]) -> Array:
    """Outward normals of an anticlockwise outline."""
    points = np.array(corners)
    side = np.roll(points, -1, axis=0) - points
    outward = np.stack([side[:, 1], -side[:, 0]], axis=1)
    return outward / np.linalg.norm(outward, axis=1)[:, None]


def _polygons(a: Prism, b: Prism, x: Array, y: Array) -> Array:
    p, q = np.array(a.corners), np.array(b.corners)
    least = np.full(np.broadcast(x, y).shape, np.inf)
    for n in _normals(a.corners):
        least = np.minimum(least, (p @ n).max() + n[0] * x + n[1] * y - (q @ n).min())
    for n in _normals(b.corners):
        least = np.minimum(least, (q @ n).max() - ((p @ n).min() + n[0] * x + n[1] * y))
    return least


def _circle_in(circle: Prism, outline: Prism, x: Array, y: Array) -> Array:
    """Depth of a circle, shifted, in an outline: radius less the signed distance of its centre."""
    cx, cy = circle.centre[0] + x, circle.centre[1] + y
    points = np.array(outline.corners)
    nearest = np.full(np.broadcast(cx, cy).shape, np.inf)
    inside = np.full(nearest.shape, -np.inf)
    for (px, py), (qx, qy), n in zip(points, np.roll(points, -1, axis=0), _normals(outline.corners), strict=True):
        along = np.clip(((cx - px) * (qx - px) + (cy - py) * (qy - py)) / ((qx - px) ** 2 + (qy - py) ** 2), 0.0, 1.0)
        nearest = np.minimum(nearest, np.hypot(cx - px - along * (qx - px), cy - py - along * (qy - py)))
        inside = np.maximum(inside, n[0] * (cx - px) + n[1] * (cy - py))
    return circle.radius - np.where(inside <= 0.0, inside, nearest)


class Unclear(Exception):  # noqa: N818 - no error: the case is left out
    """A graze too fine for steps of a millimetre."""


Part = tuple[Prism, ...]
"""Prisms that move as one."""


def deepest(a: Prism, b: Prism, legs: Sequence[tuple[tuple[int, int], Array]]) -> Array:
    """Greatest depth of ``a`` in ``b``: over the last leg's steps, for each step of the legs before it."""
    shift = [np.zeros(()) for _ in range(3)]
    for k, ((axis, sign), steps) in enumerate(legs):
        shape = [1] * len(legs)
        shape[k] = len(steps)
        shift[axis] = shift[axis] + sign * steps.reshape(shape)
    return np.broadcast_to(depth(a, b, *shift), [len(s) for _, s in legs]).max(axis=-1)


SLACK_MM = 0.05


def stands_in(a: Part, b: Part, legs: Sequence[tuple[tuple[int, int], Array]]) -> npt.NDArray[np.bool_]:
    """Whether ``b`` stands in the last leg, for each step of the legs before it."""
    return np.logical_or.reduce([_one_in(p, q, legs) for p in a for q in b])


def _one_in(a: Prism, b: Prism, legs: Sequence[tuple[tuple[int, int], Array]]) -> npt.NDArray[np.bool_]:
    if _apart(a, b, legs):
        return np.zeros([len(s) for _, s in legs[:-1]], dtype=bool)
    found = deepest(a, b, legs)
    if bool(np.any((found > SLACK_MM / 4.0) & (found < 10.0 * SLACK_MM))):
        raise Unclear
    return found > SLACK_MM


def _apart(a: Prism, b: Prism, legs: Sequence[tuple[tuple[int, int], Array]]) -> bool:
    (low, high), (other_low, other_high) = a.box, b.box
    low, high = low.copy(), high.copy()
    for (axis, sign), steps in legs:
        if sign > 0:
            high[axis] += steps.max()
        else:
            low[axis] -= steps.max()
    return bool(np.any(low >= other_high) or np.any(other_low >= high))


@dataclass(frozen=True)
class Limits:
    """How far a part goes at last beyond its own length, and at first at the least [mm]."""

    hand: int
    first: int


def _steps(mm: float) -> Array:
    return np.arange(0.0, mm + 0.5)


def routes(parts: dict[str, Part], name: str, limits: Limits, *, two: bool) -> Iterator[frozenset[str]]:
    """Who stands in each route tried: the six straight ones and, when asked, all with a first move aside."""
    me = parts[name]
    low, high = (np.array(c) for c in (np.min([p.box[0] for p in me], axis=0), np.max([p.box[1] for p in me], axis=0)))
    size = high - low
    others = {i: p for i, p in parts.items() if i != name}
    out = {way: (way, _steps(size[way[0]] + limits.hand)) for way in WAYS}
    for way in WAYS:
        yield frozenset(i for i, p in others.items() if stands_in(me, p, [out[way]]).all())
    if not two:
        return
    for first in WAYS:
        far = _steps(max(size[first[0]], limits.first))
        # met[t]: somewhere up to t
        met = {i: np.logical_or.accumulate(_at_each(me, p, (first, far))) for i, p in others.items()}
        for then in WAYS:
            if then[0] == first[0]:
                continue
            last = {i: stands_in(me, p, [(first, far), out[then]]) for i, p in others.items()}
            tables = np.stack([met[i] | last[i] for i in others], axis=1)
            for row in np.unique(tables[1:], axis=0):
                yield frozenset(i for i, there in zip(others, row, strict=True) if there)


def _at_each(a: Part, b: Part, leg: tuple[tuple[int, int], Array]) -> npt.NDArray[np.bool_]:
    return np.logical_or.reduce([_one_at_each(p, q, leg) for p in a for q in b])


def _one_at_each(a: Prism, b: Prism, leg: tuple[tuple[int, int], Array]) -> npt.NDArray[np.bool_]:
    way, steps = leg
    shift = [np.zeros(len(steps)) for _ in range(3)]
    shift[way[0]] = way[1] * steps
    found = depth(a, b, *shift)
    top = np.maximum.accumulate(found)
    if bool(np.any((top > SLACK_MM / 4.0) & (top < 10.0 * SLACK_MM))):
        raise Unclear
    return np.asarray(found > SLACK_MM)


def least_sets(tried: set[frozenset[str]], others: Sequence[str], never: frozenset[str]) -> set[frozenset[str]]:
    """Every least set of others whose removal frees a route: all subsets are tried, the small ones first."""
    found: set[frozenset[str]] = set()
    loose = sorted(set(others) - never)
    for count in range(len(loose) + 1):
        for chosen in combinations(loose, count):
            gone = frozenset(chosen)
            if not any(less <= gone for less in found) and any(standing <= gone for standing in tried):
                found.add(gone)
    return found
