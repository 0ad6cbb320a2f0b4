"""Where the edges of a convex core can meet the rim of a round bar: windows of directions square to each edge.

Seen along one of its edges a core is a polygon, and the edge is one of its corners. Square to the edge the core is
bounded by that corner for as long as the two sides that meet there let it: for an arc of directions, which is cut in
windows. All of this is the core's own and is found out once.
"""

from __future__ import annotations

import math
from typing import NamedTuple

import numpy as np

from planner.space.frames import FloatArray
from planner.space.surfaces import Bends, IntArray
from planner.space.vectors import cross, perpendiculars

WINDOW_RAD = math.pi / 24.0
"""No window is wider."""

_SAME = 1e-6
"""Corners nearer to each other than this share of the core's reach, seen along an edge, are the two ends of it."""
_NARROW_RAD = 1e-9
_TINY_MM = 1e-9
_NARROW_MM2 = 1e-2
"""Twice the area of a triangle from which on its normal is that of its face."""


class Rims(NamedTuple):
    """Windows of directions and how far a core comes back along them, each about its middle.

    At the angle t from the middle of a window the direction is ``ways`` * cos t + ``ahead`` * sin t, both (k, 3), for t
    up to ``half_rad`` (k,) either way, whose cosine and sine are at hand. The least coordinate of the core along it is
    ``low_mm`` * cos t + ``climb_mm`` * sin t + ``flat_mm``, with ``low_mm`` and ``climb_mm`` (k,).
    """

    ways: FloatArray
    ahead: FloatArray
    half_rad: FloatArray
    cos_half: FloatArray
    sin_half: FloatArray
    low_mm: FloatArray
    climb_mm: FloatArray
    flat_mm: float


def rims_of_surface(points: FloatArray, bends: Bends) -> Rims:
    """Windows of the hull of ``points`` (n, 3) [mm] whose surface bends so.

    The arc of an edge leads from the normal of the one face to that of the other. Where a triangle is too narrow for
    its normal to be trusted the arcs are found from the corners alone.
    """
    if bends.areas_mm2.min(initial=math.inf) < _NARROW_MM2:
        return rims_of_sides(points, bends.sides)
    corner = bends.sides[:, 0]
    out = points[corner] - points.mean(axis=0)
    first, second = (_facing(bends.normals[bends.owners[:, k]], out) for k in (0, 1))
    about = cross(first, second)
    sines = np.sqrt(np.einsum("ij,ij->i", about, about))
    width = np.arctan2(sines, np.einsum("ij,ij->i", first, second))
    spans = np.stack([-first, cross(first, about) / sines[:, None]], axis=1)
    return _windows(points, corner, spans, (np.zeros(len(width)), width))


def _facing(normals: FloatArray, out: FloatArray) -> FloatArray:
    """Normals (m, 3) turned to the side that ``out`` (m, 3) looks to: a surface may have been listed inside out."""
    turned: FloatArray = normals * np.where(np.einsum("ij,ij->i", normals, out) < 0.0, -1.0, 1.0)[:, None]
    return turned


def rims_of_sides(points: FloatArray, sides: IntArray) -> Rims:
    """Windows of the hull of ``points`` (n, 3) [mm] with edges between the corners of ``sides`` (m, 2)."""
    ways = points[sides[:, 1]] - points[sides[:, 0]]
    lengths = np.sqrt(np.einsum("ij,ij->i", ways, ways))
    sound = lengths > _TINY_MM
    corner = sides[sound, 0]
    spans = perpendiculars(ways[sound] / lengths[sound, None])
    return _windows(points, corner, spans, _arcs(points, spans, corner))


def _windows(points: FloatArray, corner: IntArray, spans: FloatArray, arcs: tuple[FloatArray, FloatArray]) -> Rims:
    """Windows of arcs, given by their starts and widths (m,) [rad] in the planes of ``spans`` (m, 2, 3)."""
    start, width = arcs
    counts = np.where(width > _NARROW_RAD, np.ceil(width / WINDOW_RAD), 0.0)
    half = width / np.maximum(2.0 * counts, 1.0)
    number = counts.astype(np.int64)
    at = np.repeat(np.arange(len(corner)), number)
    # the windows of an arc lie side by side: the first half a window from its start
    steps = 2 * np.arange(len(at)) + (1 - 2 * (np.cumsum(number) - number)).take(at)
    angles = start.take(at) + steps * half.take(at)
    cosines, sines = np.cos(angles)[:, None], np.sin(angles)[:, None]
    first, second = spans[:, 0].take(at, axis=0), spans[:, 1].take(at, axis=0)
    ways, ahead = cosines * first + sines * second, cosines * second - sines * first
    low = np.minimum.reduce(points @ ways.T)
    climb = np.einsum("ij,ij->i", points.take(corner, axis=0).take(at, axis=0), ahead)
    return Rims(ways, ahead, half.take(at), np.cos(half).take(at), np.sin(half).take(at), low, climb, 0.0)


def sides_along(points: FloatArray, edges: FloatArray) -> IntArray:
    """Pairs (m, 2) of ``points`` (n, 3) [mm] in one line along any of the unit vectors ``edges`` (k, 3)."""
    to = points[None, :, :] - points[:, None, :]
    along = np.einsum("ijk,mk->mij", to, edges)
    beside = np.einsum("ijk,ijk->ij", to, to) - along * along
    _, first, second = np.nonzero(beside < (_SAME * float(np.abs(points).max())) ** 2)
    return np.stack([first, second], axis=1)[first < second]


def rims_of_block(axes: FloatArray, middle_mm: FloatArray, half_mm: FloatArray) -> Rims:
    """Windows of a box along the unit vectors ``axes`` (3, 3), its middle and half sizes (3,) [mm] given along them."""
    both = _BLOCK_WAYS @ axes
    along = _BLOCK_WAYS @ middle_mm - _BLOCK_DEPTHS @ half_mm
    count = len(both) // 2
    return Rims(both[:count], both[count:], *_BLOCK_HALVES, along[:count], along[count:], 0.0)


def rims_of_line(end: FloatArray, axis: FloatArray, flat_mm: float) -> Rims:
    """Windows all round a line along the unit vector ``axis`` (3,) through ``end`` (3,) [mm]; ``flat_mm`` off it.

    A round bar has such lines on its side, its own axis less its radius along every direction.
    """
    both = _ROUND_ABOUT @ perpendiculars(axis)
    along = both @ end
    return Rims(both[:_ROUND], both[_ROUND:], _HALF, _COS_HALF, _SIN_HALF, along[:_ROUND], along[_ROUND:], flat_mm)


def _arcs(points: FloatArray, spans: FloatArray, corner: IntArray) -> tuple[FloatArray, FloatArray]:
    """Starts and widths (m,) [rad] of the arcs, in the planes of ``spans`` (m, 2, 3), along which a corner is lowest.

    Corner w is lowest along d when (p - w) . d >= 0 for every other corner p: within a quarter turn of the way to each.
    """
    seen = points @ spans.transpose(0, 2, 1)
    to = seen - seen[np.arange(len(corner)), corner][:, None]
    far = np.abs(to).max(axis=2) > _SAME * float(np.abs(points).max())
    middle = to.mean(axis=1)
    inward = np.arctan2(middle[:, 1], middle[:, 0])
    turns = np.arctan2(to[:, :, 1], to[:, :, 0]) - inward[:, None]
    turns -= 2.0 * math.pi * np.round(turns / (2.0 * math.pi))
    least = np.where(far, turns, math.inf).min(axis=1)
    most = np.where(far, turns, -math.inf).max(axis=1)
    free = ~far.any(axis=1)
    start = inward + np.where(free, 0.0, most - math.pi / 2.0)
    return start, np.where(free, 2.0 * math.pi, math.pi - (most - least))


_ROUND = round(2.0 * math.pi / WINDOW_RAD)
_ANGLES: FloatArray = (2.0 * np.arange(_ROUND, dtype=np.float64) + 1.0) * (math.pi / _ROUND)
_ROUND_ABOUT: FloatArray = np.concatenate([
    np.stack([np.cos(_ANGLES), np.sin(_ANGLES)], axis=1),
    np.stack([-np.sin(_ANGLES), np.cos(_ANGLES)], axis=1),
])  # fmt: skip
"""Directions all round in a plane, then those a quarter turn on."""
_HALF: FloatArray = np.full(_ROUND, math.pi / _ROUND)
_COS_HALF: FloatArray = np.cos(_HALF)
_SIN_HALF: FloatArray = np.sin(_HALF)


def _block_ways() -> tuple[FloatArray, FloatArray]:
    """Directions of the windows of an upright box, then those a quarter turn on; what its half sizes count along them.

    Both (2 k, 3). The corner that lies lowest in the middle of a window does so in all of it.
    """
    spans = np.array([np.roll(np.eye(3), -k, axis=0)[1:] for k in range(3)])
    ways, ahead = (np.concatenate([turned @ span for span in spans]) for turned in np.split(_ROUND_ABOUT, 2))
    return np.concatenate([ways, ahead]), np.concatenate([np.abs(ways), np.sign(np.round(ways, 9)) * ahead])


_BLOCK_WAYS, _BLOCK_DEPTHS = _block_ways()
_BLOCK_HALVES: tuple[FloatArray, FloatArray, FloatArray] = (
    np.full(3 * _ROUND, math.pi / _ROUND),
    np.full(3 * _ROUND, math.cos(math.pi / _ROUND)),
    np.full(3 * _ROUND, math.sin(math.pi / _ROUND)),
)
