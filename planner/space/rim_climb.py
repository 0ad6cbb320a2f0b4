"""A round bar held against the edges of another core: how good a direction each window can hold, and the best in it.

At the angle t from the middle of a window the bound is P cos t + Q sin t, from the place and the corner of the other,
less the reach of the bar: half |c| + radius sqrt(1 - c^2) with c = C cos t + D sin t, the cosine between the direction
and the bar's axis. ``P``, ``Q``, ``C`` and ``D`` are the window's own.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from itertools import pairwise
from typing import NamedTuple

import numpy as np

from planner.space.frames import FloatArray
from planner.space.pieces import Bar, Piece

_TINY = 1e-9
_LEVEL = 1e-15
_ROUNDS = 60
_LEVEL_MM = 1e-7
"""Slope [mm/rad] of a summit; what the bound falls short of it is of second order."""


class Sight(NamedTuple):
    """A core as a bar sees it along the directions of its ``lows``: P and C and the bound [mm] by each, (k,) each.

    ``across`` (k,) are the sines of the angles between the directions and the bar's axis.
    """

    p: FloatArray
    c: FloatArray
    across: FloatArray
    bounds: FloatArray


class Slopes(NamedTuple):
    """How the bounds go on from the middles of a core's windows: P, Q, C and D of each, (k,) each.

    ``tops`` (k,) [mm] are no less than the greatest bound that each window holds.
    """

    p: FloatArray
    q: FloatArray
    c: FloatArray
    d: FloatArray
    tops: FloatArray


def seen_by(bar: Bar, other: Piece, away_mm: FloatArray) -> Sight:
    """Look at a core from a bar, the core's origin lying at ``away_mm`` (3,) from the bar's."""
    ways, low = other.lows
    p, c = ways @ away_mm + low, ways @ bar.axis
    across = np.sqrt(np.maximum(0.0, 1.0 - c * c))
    return Sight(p, c, across, p - bar.half_mm * np.abs(c) - bar.radius_mm * across)


def slopes_of(bar: Bar, other: Piece, away_mm: FloatArray, sight: Sight) -> Slopes:
    """Tell how much better than in its middle each window can be.

    The reach of a convex set is nowhere below the coordinate of the point that reaches farthest in the middle of the
    window, so the bound is nowhere above a sine curve: what that one comes to within the window is its top.
    """
    rims = other.rims
    start = len(sight.p) - len(rims.ways)
    p, c, across, values = (column[start:] for column in sight)
    q, d = rims.ahead @ away_mm + rims.climb_mm, rims.ahead @ bar.axis
    if rims.flat_mm:
        p, values = p - rims.flat_mm, values - rims.flat_mm
    pull = np.copysign(bar.half_mm, c) - bar.radius_mm * c / np.maximum(_TINY, across)
    tops = np.maximum(values, values * rims.cos_half) + np.abs(q - d * pull) * rims.sin_half + rims.flat_mm
    return Slopes(p, q, c, d, tops)


class _Wave(NamedTuple):
    """One window in plain numbers; the ``sign`` asked for is that of c on the part of it that is looked at."""

    p: float
    q: float
    c: float
    d: float
    radius: float
    half: float

    def bound(self, angle: float) -> float:
        """Bound [mm] at an angle."""
        cosine, sine = math.cos(angle), math.sin(angle)
        c = self.c * cosine + self.d * sine
        across = math.sqrt(max(0.0, 1.0 - c * c))
        return self.p * cosine + self.q * sine - self.half * abs(c) - self.radius * across

    def slope(self, angle: float, sign: float) -> float:
        """How fast the bound grows [mm/rad] at an angle."""
        cosine, sine = math.cos(angle), math.sin(angle)
        c, turn = self.c * cosine + self.d * sine, self.d * cosine - self.c * sine
        across = math.sqrt(max(1.0 - c * c, _LEVEL))
        return self.q * cosine - self.p * sine - turn * (self.half * sign - self.radius * c / across)


def summits(slopes: Slopes, k: int, bar: Bar, half_rad: float) -> Iterator[tuple[float, float]]:
    """Bounds [mm] and angles [rad] from the middle of window ``k`` at which those are greatest round about.

    Not those on the brink of the window, at ``half_rad``, nor where the direction is square to the bar or along it:
    there other families of directions are as good.
    """
    p, q, c, d, _ = (column.item(k) for column in slopes)
    wave = _Wave(p, q, c, d, bar.radius_mm, bar.half_mm)
    square = math.atan2(-c, d) if d >= 0.0 else math.atan2(c, -d)
    cuts = sorted({-half_rad, 0.0, half_rad, min(max(square, -half_rad), half_rad)})
    for low, high in pairwise(cuts):
        middle = (low + high) / 2.0
        sign = math.copysign(1.0, c * math.cos(middle) + d * math.sin(middle))
        if wave.slope(low, sign) > 0.0 > wave.slope(high, sign):
            angle = _level(wave, low, high, sign)
            yield wave.bound(angle), angle


def _level(wave: _Wave, low: float, high: float, sign: float) -> float:
    """Angle at which a slope that falls from above to below zero between two angles is zero.

    Source: M. Dowell and P. Jarratt, "A modified regula falsi method for computing the root of an equation", BIT 11
    (1971), the weight at an end that stays put being halved.
    """
    before, after = wave.slope(low, sign), wave.slope(high, sign)
    angle, last = low, 0
    for _ in range(_ROUNDS):
        angle = (low * after - high * before) / (after - before)
        slope = wave.slope(angle, sign)
        if abs(slope) < _LEVEL_MM:
            break
        if slope > 0.0:
            low, before = angle, slope
            after = after / 2.0 if last > 0 else after
        else:
            high, after = angle, slope
            before = before / 2.0 if last < 0 else before
        last = 1 if slope > 0.0 else -1
    return angle
