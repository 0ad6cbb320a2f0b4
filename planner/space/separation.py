"""Signed distance between two convex pieces, proved by support values.

For any unit direction n the coordinate of the one piece's near side along n minus that of the other's far
side bounds the signed distance from below, and the greatest such bound *is* the signed distance, inside and
outside (separating axis theorem). So every answer comes with the direction that proves it: a distance found by
the collision library counts only when its own direction confirms it, and depths never come from that library.
"""

from __future__ import annotations

import math
from typing import NamedTuple

import fcl
import numpy as np

from planner.space.depth import best_axis
from planner.space.frames import FloatArray
from planner.space.minnorm import nearest_points
from planner.space.pieces import Piece

PROOF_MM = 1e-4
"""How far a distance may lie above the bound that proves it."""

_KEPT = 256
"""Answers kept: who asks whether a pair is too close mostly asks next by how much."""
_KNOWN: dict[tuple[object, ...], Separation] = {}
"""Exact answers, the oldest first; pieces never change, so none goes stale."""
_REQUEST = fcl.DistanceRequest(enable_nearest_points=True, enable_signed_distance=False)


class Separation(NamedTuple):
    """Signed distance [mm] of piece b from piece a, and the unit direction (3,) from a to b that proves it.

    ``between_mm`` (3,) is the middle of the gap about a's origin, None when they touch or overlap.
    """

    mm: float
    normal: FloatArray
    between_mm: FloatArray | None


def bound_along(a: Piece, b: Piece, shift_mm: FloatArray, normal: FloatArray) -> float:
    """Lower bound [mm] of the signed distance by one unit direction (3,) from a to b."""
    return float(shift_mm @ normal) - b.reach_mm(-normal) - a.reach_mm(normal) - a.ball_mm - b.ball_mm


def separation(a: Piece, b: Piece, shift_mm: FloatArray) -> Separation:
    """Signed distance of two pieces, b's origin at ``shift_mm`` (3,) from a's; exact within ``PROOF_MM``."""
    return nearer_than(a, b, shift_mm, math.inf)


def nearer_than(a: Piece, b: Piece, shift_mm: FloatArray, limit_mm: float) -> Separation:
    """:func:`separation` of two pieces where it is below ``limit_mm``; else a bound that is not, with its direction."""
    key = a, b, *shift_mm.tolist()
    known = _KNOWN.get(key)
    if known is None:
        known = _measured(a, b, shift_mm, limit_mm)
        if known.mm < limit_mm:
            if len(_KNOWN) == _KEPT:
                del _KNOWN[next(iter(_KNOWN))]
            _KNOWN[key] = known
    return known


def _measured(a: Piece, b: Piece, shift_mm: FloatArray, enough_mm: float) -> Separation:
    """Signed distance of two pieces, or a lower bound of it that is not below ``enough_mm``."""
    balls = a.ball_mm + b.ball_mm
    answer = fcl.DistanceResult()
    distance = float(fcl.distance(a.placed, b.placed_at(shift_mm), _REQUEST, answer))
    if distance > PROOF_MM:
        ends = answer.nearest_points
        proved = _proved(a, b, shift_mm, ends[0], ends[1])
        if proved is not None:
            return proved
    depth, normal = best_axis(a, b, shift_mm, enough_mm + balls)
    if depth - balls >= enough_mm:
        return Separation(depth - balls, normal, None)
    if depth > -PROOF_MM or distance > PROOF_MM:
        near_a, near_b = nearest_points(a, b, shift_mm)
        proved = _proved(a, b, shift_mm, near_a, near_b)
        if proved is not None and proved.mm > depth - balls:
            return proved
    return Separation(depth - balls, normal, None if depth <= balls else shift_mm / 2.0)


def _proved(a: Piece, b: Piece, shift_mm: FloatArray, near_a: FloatArray, near_b: FloatArray) -> Separation | None:
    """Separation by a pair of nearest core points, or None when their own direction does not confirm it."""
    # plain numbers: arrays of three cost more than what is done with them
    (ax, ay, az), (bx, by, bz) = near_a.tolist(), near_b.tolist()
    x, y, z = bx - ax, by - ay, bz - az
    distance = math.sqrt(x * x + y * y + z * z)
    if distance <= PROOF_MM:
        return None
    x, y, z = x / distance, y / distance, z / distance
    normal = np.array((x, y, z))
    mm = distance - a.ball_mm - b.ball_mm
    if abs(bound_along(a, b, shift_mm, normal) - mm) > PROOF_MM:
        return None
    if mm <= 0.0:
        return Separation(mm, normal, None)
    ball = a.ball_mm - b.ball_mm
    between = np.array(((ax + bx + x * ball) / 2.0, (ay + by + y * ball) / 2.0, (az + bz + z * ball) / 2.0))
    return Separation(mm, normal, between)
