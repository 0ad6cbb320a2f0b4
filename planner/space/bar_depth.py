"""Round bars against anything: the best separating direction of two cores that meet, one of them a flat-ended bar.

The nearest point of the boundary of the difference set lies on a smooth patch, which leaves few families of
directions: face normals, edge x axis, straight away from the axis to the nearest corner, and arcs of directions square
to an edge (edge against rim); bar against bar adds rim against rim, searched over the whole sphere.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import NamedTuple

import numpy as np

from planner.model.shapes import Vec
from planner.space.frames import FloatArray, as_vec
from planner.space.pieces import Bar, Hull, Piece
from planner.space.rim_climb import Sight, seen_by, slopes_of, summits
from planner.space.vectors import perpendiculars, sphere_directions, square_to

_Round = tuple[float, float, float, float, float]
"""A bar as plain numbers: its axis, its radius and half its length [mm]."""
Bound = tuple[float, FloatArray]
"""A lower bound [mm] of the cores' signed distance and the unit direction (3,), from the bar, that gives it."""

_SPHERE_STEP_RAD = 0.12
_SPHERE_ROUNDS = 3
_POLISH_ROUNDS = 30
_SHARES = tuple(0.5**k for k in range(12))
_SPHERE_STARTS = 3
_SPHERE: FloatArray = sphere_directions(900)
_ROSE: FloatArray = np.array([[i / 2.0, j / 2.0] for i in range(-2, 3) for j in range(-2, 3)])
_SAME_TOP = math.cos(1e-3)
"""Starts nearer to each other than this climb to the same top."""
_TINY = 1e-9
_ENOUGH_MM = 1e-6


class _Pair(NamedTuple):
    """A bar, what it is held against, and where that one's origin lies from the bar's (3,) [mm]."""

    bar: Bar
    other: Piece
    away_mm: FloatArray


def bar_axis(bar: Bar, other: Piece, away_mm: FloatArray, enough_mm: float = math.inf) -> Bound:
    """Greatest bound [mm] of the cores' signed distance, and its unit direction (3,) from the bar to the other.

    Any bound that is not below ``enough_mm`` will do.
    """
    pair = _Pair(bar, other, away_mm)
    sight = seen_by(bar, other, away_mm)
    best = int(sight.bounds.argmax())
    found = sight.bounds.item(best), other.lows[0][best]
    if found[0] >= enough_mm:
        return found
    found = max(found, _by_loose(pair), key=_mm)
    if found[0] >= enough_mm:
        return found
    found = _by_rims(pair, sight, found)
    if isinstance(other, Bar):
        back = _Pair(other, bar, -away_mm)
        mm, way = _by_rims(back, seen_by(other, bar, -away_mm), (found[0], -found[1]))
        found = max((mm, -way), _by_sphere(pair), key=_mm)
    return found


def _mm(bound: Bound) -> float:
    return bound[0]


def _reaches(bar: Bar, along: FloatArray) -> FloatArray:
    """How far (n,) [mm] a bar reaches along unit directions, given their coordinates (n,) along its axis."""
    across: FloatArray = np.sqrt(np.maximum(0.0, 1.0 - along * along))
    return bar.half_mm * np.abs(along) + bar.radius_mm * across


def _bounds(pair: _Pair, ways: FloatArray) -> FloatArray:
    """Bounds (n,) [mm] by unit directions (n, 3)."""
    return ways @ pair.away_mm + pair.other.span(ways)[0] - _reaches(pair.bar, ways @ pair.bar.axis)


def _by_loose(pair: _Pair) -> Bound:
    """Best of the bar's axis, its crosses with the other's edges, and straight away from it to the nearest corner."""
    bar, other, away_mm = pair
    square, crosses = bar.across
    corners = other.points_mm + away_mm if isinstance(other, Hull) else away_mm[None, :]
    beside = corners @ square
    nearest = int(np.einsum("ij,ij->i", beside, beside).argmin())
    # all but the last are square to the axis
    loose = np.concatenate([other.edges @ crosses, beside[nearest : nearest + 1], bar.axis[None, :]])
    lengths = np.sqrt(np.einsum("ij,ij->i", loose, loose))
    reach = np.full(len(loose), bar.radius_mm)
    reach[-1] = bar.half_mm
    reach[lengths <= _TINY] = math.inf
    ways = loose / np.maximum(lengths, _TINY)[:, None]
    low, high = other.span(ways)
    along = ways @ away_mm
    values = np.concatenate([along + low - reach, -along - high - reach])
    best = int(values.argmax())
    return values.item(best), ways[best] if best < len(ways) else -ways[best - len(ways)]


def _by_rims(pair: _Pair, sight: Sight, known: Bound) -> Bound:
    """Best direction square to any edge of the other, or the known one when none of those is better."""
    rims = pair.other.rims
    slopes = slopes_of(pair.bar, pair.other, pair.away_mm, sight)
    hopeful = (slopes.tops > known[0] + _ENOUGH_MM).nonzero()[0]
    for top, k in sorted(zip(slopes.tops.take(hopeful).tolist(), hopeful.tolist(), strict=True), key=_highest):
        if top <= known[0] + _ENOUGH_MM:
            break
        for bound, angle in summits(slopes, k, pair.bar, rims.half_rad.item(k)):
            if bound + rims.flat_mm <= known[0] - _ENOUGH_MM:
                continue
            way = math.cos(angle) * rims.ways[k] + math.sin(angle) * rims.ahead[k]
            value = float(_bounds(pair, way[None, :])[0])
            if value > known[0]:
                known = value, way
    return known


def _highest(top: tuple[float, int]) -> tuple[float, int]:
    return -top[0], top[1]


def _by_sphere(pair: _Pair) -> Bound:
    """Best direction of all, zoomed in on from the best few of an even spread, then polished."""
    at = _SPHERE[np.argsort(-_bounds(pair, _SPHERE))[:_SPHERE_STARTS]]
    step = _SPHERE_STEP_RAD
    for _ in range(_SPHERE_ROUNDS):
        near = at[:, None, :] + step * (_ROSE @ perpendiculars(at))
        near /= np.sqrt(np.einsum("ijk,ijk->ij", near, near))[:, :, None]
        values = _bounds(pair, near.reshape(-1, 3)).reshape(near.shape[:2])
        at = near[np.arange(len(at)), np.argmax(values, axis=1)]
        step /= 2.5
    best = (-math.inf, at[0])
    tried: list[FloatArray] = []
    for way in at[np.argsort(-values.max(axis=1), kind="stable")]:
        if all(float(way @ other) < _SAME_TOP for other in tried):
            found = _polished(pair, way)
            tried.append(way)
            best = max(best, found, key=_mm)
    return best


def _polished(pair: _Pair, way: FloatArray) -> Bound:
    """Climb from a good direction between two round bars to the top (Newton's method on the sphere).

    Bars are symmetric, so the bound along n is away . n - sum(radius * sin + half * |cos|) over both, with the
    angle between n and each axis. In plain numbers, which for so few is much quicker than in arrays.
    """
    away = as_vec(pair.away_mm)
    bars = [(*as_vec(bar.axis), bar.radius_mm, bar.half_mm) for bar in (pair.bar, pair.other) if isinstance(bar, Bar)]
    at = as_vec(way)
    value = _bound_at(away, bars, at)
    for _ in range(_POLISH_ROUNDS):
        best = _best_step(away, bars, at, value)
        if best[0] <= value + _ENOUGH_MM:
            break
        value, at = best
    return value, np.array(at)


def _best_step(away: Vec, bars: Sequence[_Round], at: Vec, value: float) -> tuple[float, Vec]:
    """Best bound [mm] and direction on Newton's way up from one direction, tried at ever smaller shares of it."""
    first, second = square_to(*at)
    slope = [_dot(first, away), _dot(second, away)]
    bend = [-value, 0.0, -value]
    for x, y, z, radius, half in bars:
        axis = (x, y, z)
        along, beside = _dot(at, axis), (_dot(first, axis), _dot(second, axis))
        sine = max(math.hypot(*beside), _TINY)
        pull = radius * along / sine - math.copysign(half, along)
        slope[0] += beside[0] * pull
        slope[1] += beside[1] * pull
        u, v, stiff = -beside[1] / sine, beside[0] / sine, radius / sine
        bend[0] -= stiff * u * u
        bend[1] -= stiff * u * v
        bend[2] -= stiff * v * v
    x, y = _newton_step((slope[0], slope[1]), (bend[0], bend[1], bend[2]))
    best = (-math.inf, at)
    for share in _SHARES:
        tried = _unit([n + share * (x * u + y * v) for n, u, v in zip(at, first, second, strict=True)])
        found = _bound_at(away, bars, tried)
        if found > best[0]:
            best = found, tried
        elif best[0] > value:
            # on the way back down
            break
    return best


def _bound_at(away: Vec, bars: Sequence[_Round], at: Vec) -> float:
    """Bound [mm] by one unit direction."""
    bound = _dot(at, away)
    for x, y, z, radius, half in bars:
        along = abs(at[0] * x + at[1] * y + at[2] * z)
        bound -= half * along + radius * math.sqrt(max(0.0, 1.0 - along * along))
    return bound


def _newton_step(slope: tuple[float, float], bend: tuple[float, float, float]) -> tuple[float, float]:
    """Step to the top of a function with this slope and curvature (xx, xy, yy), or uphill when there is none."""
    determinant = bend[0] * bend[2] - bend[1] * bend[1]
    if determinant > 0.0 and bend[0] < 0.0:
        x = (bend[2] * slope[0] - bend[1] * slope[1]) / -determinant
        y = (bend[0] * slope[1] - bend[1] * slope[0]) / -determinant
    else:
        steep = max(map(abs, bend)) + _TINY
        x, y = slope[0] / steep, slope[1] / steep
    most = max(1.0, math.hypot(x, y) / _SPHERE_STEP_RAD)
    return x / most, y / most


def _dot(a: Vec, b: Vec) -> float:
    return a[0] * b[0] + a[1] * b[1] + a[2] * b[2]


def _unit(vector: Sequence[float]) -> Vec:
    x, y, z = vector
    length = math.sqrt(x * x + y * y + z * z)
    return (x / length, y / length, z / length)
