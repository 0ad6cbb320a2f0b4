"""Where a surface of triangles crosses itself: an edge of one triangle goes through the inside of another."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
import numpy.typing as npt

FloatArray = npt.NDArray[np.float64]
IntArray = npt.NDArray[np.int64]

DEEP_MM = 2e-3
"""An edge that comes through by less than this only touches: files keep some seven digits."""
MOST_PAIRS = 60_000_000

_INSIDE = 1e-6
_AT_ONCE = 400_000
_TINY = 1e-18


def crossings(corners_mm: FloatArray, triangles: IntArray) -> tuple[int, FloatArray] | None:
    """How many triangles are gone through, and a place (3,) [mm] of the first; None when none is.

    Triangles that lie in one plane and overlap there are not found.

    Raises
    ------
    OverflowError
        When so many triangles lie beside each other that looking at all of them takes too long.
    """
    places = corners_mm[triangles]
    through: dict[int, FloatArray] = {}
    for one, other in _near(places):
        shared = (triangles[one][:, :, None] == triangles[other][:, None, :]).any(axis=(1, 2))
        twice = (triangles[one][:, :, None] == triangles[other][:, None, :]).sum(axis=(1, 2)) > 1
        for a, b in ((one[~twice], other[~twice]), (other[~twice], one[~twice])):
            _look(places, triangles, (a, b), shared[~twice], through)
    if not through:
        return None
    first = min(through)
    return len(through), through[first]


def _near(places: FloatArray) -> Iterator[tuple[IntArray, IntArray]]:
    """Pairs of triangles whose boxes meet, a bunch at a time: sort and sweep along the axis with the fewest."""
    lows, highs = places.min(axis=1), places.max(axis=1)
    counts = []
    for axis in range(3):
        order = np.sort(lows[:, axis])
        ends = np.searchsorted(order, np.sort(highs[:, axis]), side="right")
        counts.append(int(ends.sum()) - len(order) * (len(order) + 1) // 2)
    axis = int(np.argmin(counts))
    if counts[axis] > MOST_PAIRS:
        raise OverflowError("too many triangles side by side")
    order = np.argsort(lows[:, axis], kind="stable")
    lows, highs = lows[order], highs[order]
    after = np.searchsorted(lows[:, axis], highs[:, axis], side="right") - np.arange(len(order)) - 1
    bounds = np.concatenate([[0], np.cumsum(after)])
    start = 0
    while start < len(order):
        stop = max(start + 1, int(np.searchsorted(bounds, bounds[start] + _AT_ONCE, side="right")) - 1)
        first = np.repeat(np.arange(start, stop), after[start:stop])
        second = np.arange(len(first)) - (bounds[first] - bounds[start]) + first + 1
        meet = np.all((lows[first] <= highs[second]) & (lows[second] <= highs[first]), axis=1)
        yield order[first[meet]], order[second[meet]]
        start = stop


def _look(
    places: FloatArray,
    triangles: IntArray,
    pairs: tuple[IntArray, IntArray],
    shared: npt.NDArray[np.bool_],
    through: dict[int, FloatArray],
) -> None:
    """Note where an edge of the first triangle of a pair goes through the second."""
    one, other = pairs
    a, b, c = (places[other][:, k] for k in range(3))
    normal = np.cross(b - a, c - a)
    size = np.sqrt(np.einsum("ij,ij->i", normal, normal))
    sound = size > _TINY
    normal = normal / np.maximum(size, _TINY)[:, None]
    for k in range(3):
        p, q = places[one][:, k], places[one][:, (k + 1) % 3]
        ends = triangles[one][:, [k, (k + 1) % 3]]
        meets = shared & (ends[:, :, None] == triangles[other][:, None, :]).any(axis=(1, 2))
        above, below = (np.einsum("ij,ij->i", normal, end - a) for end in (p, q))
        cuts = sound & ~meets & (np.minimum(above, below) < -DEEP_MM) & (np.maximum(above, below) > DEEP_MM)
        rows = np.flatnonzero(cuts)
        share = above[rows] / (above[rows] - below[rows])
        spots = p[rows] + share[:, None] * (q[rows] - p[rows])
        inside = _inside(spots, a[rows], b[rows], c[rows])
        for row, spot in zip(rows[inside].tolist(), spots[inside], strict=True):
            through.setdefault(int(other[row]), spot)


def _inside(spots: FloatArray, a: FloatArray, b: FloatArray, c: FloatArray) -> npt.NDArray[np.bool_]:
    """Whether each place (n, 3) in the plane of a triangle lies well within it."""
    ab, ac, ap = b - a, c - a, spots - a
    normal = np.cross(ab, ac)
    square = np.maximum(np.einsum("ij,ij->i", normal, normal), _TINY)
    second = np.einsum("ij,ij->i", np.cross(ap, ac), normal) / square
    third = np.einsum("ij,ij->i", np.cross(ab, ap), normal) / square
    inside: npt.NDArray[np.bool_] = (second > _INSIDE) & (third > _INSIDE) & (second + third < 1.0 - _INSIDE)
    return inside
