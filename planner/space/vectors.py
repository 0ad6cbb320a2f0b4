"""Directions in arrays: cross products, right-handed sets, each direction once, directions spread over a sphere."""

from __future__ import annotations

import math

import numpy as np

from planner.model.shapes import Vec
from planner.space.frames import FloatArray

_TINY = 1e-9
_NO_DIRECTIONS: FloatArray = np.zeros((0, 3))


def unit(vector: FloatArray) -> FloatArray:
    """Return ``vector`` (3,) at length 1."""
    scaled: FloatArray = vector / math.sqrt(float(vector @ vector))
    return scaled


def cross(a: FloatArray, b: FloatArray) -> FloatArray:
    """Cross products (..., 3) of vectors (..., 3)."""
    out = np.empty(np.broadcast_shapes(a.shape, b.shape))
    out[..., 0] = a[..., 1] * b[..., 2] - a[..., 2] * b[..., 1]
    out[..., 1] = a[..., 2] * b[..., 0] - a[..., 0] * b[..., 2]
    out[..., 2] = a[..., 0] * b[..., 1] - a[..., 1] * b[..., 0]
    return out


def crossing(vectors: FloatArray) -> FloatArray:
    """What (3, 3 m) takes a vector, as a row, to its cross products with ``vectors`` (m, 3), one after the other."""
    x, y, z = vectors.T
    out = np.zeros((3, len(vectors), 3))
    out[0, :, 1], out[0, :, 2] = -z, y
    out[1, :, 0], out[1, :, 2] = z, -x
    out[2, :, 0], out[2, :, 1] = -y, x
    return out.reshape(3, -1)


def perpendiculars(axes: FloatArray) -> FloatArray:
    """Two unit vectors (..., 2, 3) that make a right-handed set u, v, axis with each unit vector of ``axes`` (..., 3).

    Source: T. Duff and others, "Building an Orthonormal Basis, Revisited", Journal of Computer Graphics
    Techniques 6 (2017).
    """
    if axes.ndim == 1:
        return np.array(square_to(*axes.tolist()))
    x, y, z = axes[..., 0], axes[..., 1], axes[..., 2]
    sign = np.copysign(1.0, z)
    a = -1.0 / (sign + z)
    b = x * y * a
    out = np.empty((*axes.shape[:-1], 2, 3))
    out[..., 0, 0] = 1.0 + sign * x * x * a
    out[..., 0, 1] = sign * b
    out[..., 0, 2] = -sign * x
    out[..., 1, 0] = b
    out[..., 1, 1] = sign + y * y * a
    out[..., 1, 2] = -y
    return out


def square_to(x: float, y: float, z: float) -> tuple[Vec, Vec]:
    """:func:`perpendiculars` of one unit vector in plain numbers."""
    sign = math.copysign(1.0, z)
    a = -1.0 / (sign + z)
    b = x * y * a
    return (1.0 + sign * x * x * a, sign * b, -sign * x), (b, sign + y * y * a, -y)


def distinct_directions(directions: FloatArray) -> FloatArray:
    """Give the unit directions (k, 3) of ``directions`` (n, 3) once each, opposite ones counted as the same."""
    return distinct_in_groups(directions, np.zeros(len(directions), dtype=np.int64), 1)[0]


def distinct_in_groups(
    directions: FloatArray, groups: np.ndarray[tuple[int, ...], np.dtype[np.int64]], count: int
) -> list[FloatArray]:
    """:func:`distinct_directions` of each of ``count`` groups, whose rows ``groups`` (n,) says, in rising order."""
    lengths = np.sqrt(np.einsum("ij,ij->i", directions, directions))
    sound = lengths > _TINY
    kept: FloatArray = directions[sound] / lengths[sound, None]
    groups = groups[sound]
    if not len(kept):
        return [_NO_DIRECTIONS] * count
    rounded = np.round(kept, 7) + 0.0
    first_nonzero = np.argmax(rounded != 0.0, axis=1)
    rounded *= np.sign(rounded[np.arange(len(rounded)), first_nonzero])[:, None]
    rounded += 0.0
    order = np.lexsort((rounded[:, 2], rounded[:, 1], rounded[:, 0], groups))
    ordered, own = rounded[order], groups[order]
    new = np.ones(len(order), dtype=bool)
    new[1:] = (ordered[1:] != ordered[:-1]).any(axis=1) | (own[1:] != own[:-1])
    chosen = np.sort(order[new])
    if count == 1:
        return [kept[chosen]]
    cuts = np.searchsorted(groups[chosen], np.arange(1, count))
    return np.split(kept[chosen], cuts)


def sphere_directions(count: int) -> FloatArray:
    """Unit directions (count, 3) spread evenly (golden-angle spiral), with the six axis ways added in front."""
    steps = np.arange(count) + 0.5
    height = 1.0 - 2.0 * steps / count
    angle = steps * (math.pi * (3.0 - math.sqrt(5.0)))
    ring = np.sqrt(1.0 - height * height)
    spiral = np.column_stack([ring * np.cos(angle), ring * np.sin(angle), height])
    return np.vstack([np.eye(3), -np.eye(3), spiral])
