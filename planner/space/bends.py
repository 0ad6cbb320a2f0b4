"""A line of straight legs with its corners rounded: how long it is, its bends, and few points that stand for it.

The points stand for each arc by a polyline that lies partly outside and partly inside it. Its first and last corner
lie on the two legs made longer, its corners at the radius r + e, the middles of its sides at r - e (r: the radius of
the bend, e: the least deviation that so many sides allow). No place of the one line is farther than e from the other,
and so neither are a round bar along the one and a round bar along the other.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import NamedTuple

from planner.model.shapes import Vec
from planner.space.route_bends import along, turn_deg, unit_to

DEVIATION_MM = 0.05
"""The rounded line and the points that stand for it are nowhere farther apart than this."""

_SAME_MM = 1e-9
_STRAIGHT_DEG = 1e-4
_FOLD_DEG = 179.0
_HALVINGS = 50


@dataclass(frozen=True, slots=True, kw_only=True)
class Bend:
    """One rounded corner: where its two legs would meet, by how much it turns, and the radius of its centre line.

    The radius is less than was asked for where the legs are too short, and 0 where the line folds back on itself.
    """

    at_mm: Vec
    angle_deg: float
    radius_mm: float


@dataclass(frozen=True, slots=True, kw_only=True)
class ShortLeg:
    """A leg (from 0: the one from point ``leg`` to the next) too short for its bends; infinite at a fold."""

    leg: int
    needs_mm: float
    has_mm: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Filleted:
    """A rounded line: points that stand for it within 0.05 mm, its developed length, its bends, its short legs."""

    points_mm: tuple[Vec, ...]
    length_mm: float
    bends: tuple[Bend, ...]
    short_legs: tuple[ShortLeg, ...]


class _Corner(NamedTuple):
    """A place where two legs meet, its turn [deg] and the radius of its bend."""

    at_mm: Vec
    turn_deg: float
    radius_mm: float


def fillet(points_mm: Sequence[Vec], bend_mm: float, *, within_mm: float = DEVIATION_MM) -> Filleted:
    """Round the corners of a line of straight legs by arcs.

    A bend of angle a takes bend_mm * tan(a / 2) of both its legs. Where a leg is too short for the bends at its ends,
    both are given the same share of it and the radius shrinks accordingly: the line is always rounded as far as it
    goes, and ``short_legs`` tells where it was not rounded in full.

    Parameters
    ----------
    points_mm : sequence of Vec [mm]
        Start, corners, finish; the first and the last point stay where they are. Points that repeat the one before
        count once.
    bend_mm : float [mm]
        Radius of the centre line at every corner; 0 leaves the corners sharp.
    within_mm : float [mm]
        How far the returned points may stray from the rounded line.

    Returns
    -------
    Filleted
        ``length_mm`` is that of the true arcs and straights, not of the points.

    Raises
    ------
    ValueError
        When there is no point.
    """
    if not points_mm:
        raise ValueError("a line needs at least one point")
    kept = [0, *(i for i, (a, b) in enumerate(pairwise(points_mm), start=1) if math.dist(a, b) > _SAME_MM)]
    line = [points_mm[i] for i in kept]
    lengths = [math.dist(a, b) for a, b in pairwise(line)]
    turns = [0.0, *(turn_deg(*line[i - 1 : i + 2]) for i in range(1, len(line) - 1)), 0.0]
    wanted = [_back_mm(turn, bend_mm) for turn in turns]
    needs = [wanted[i] + wanted[i + 1] for i in range(len(lengths))]
    short = tuple(
        ShortLeg(leg=kept[i + 1] - 1, needs_mm=need, has_mm=has)
        for i, (need, has) in enumerate(zip(needs, lengths, strict=True))
        if need > has + _SAME_MM
    )
    corners = [
        _Corner(line[i], turns[i], bend_mm * _share(wanted, lengths, i) if wanted[i] > 0.0 else 0.0)
        for i in range(1, len(line) - 1)
    ]
    points = [line[0]]
    for before, corner, after in zip(line, corners, line[2:], strict=False):
        points.extend(_rounded(before, corner, after, within_mm))
    points.extend(line[-1:] if len(line) > 1 else ())
    saved = sum(2.0 * _back_mm(c.turn_deg, c.radius_mm) - c.radius_mm * math.radians(c.turn_deg) for c in corners)
    bends = tuple(
        Bend(at_mm=c.at_mm, angle_deg=c.turn_deg, radius_mm=c.radius_mm) for c in corners if c.turn_deg > _STRAIGHT_DEG
    )
    return Filleted(points_mm=tuple(points), length_mm=sum(lengths) - saved, bends=bends, short_legs=short)


def _back_mm(turn: float, bend_mm: float) -> float:
    """How much of each leg a bend takes; infinite where the line folds back, which no bend can round."""
    if turn <= _STRAIGHT_DEG or bend_mm <= 0.0:
        return 0.0
    return math.inf if turn > _FOLD_DEG else bend_mm * math.tan(math.radians(turn) / 2.0)


def _share(wanted: Sequence[float], lengths: Sequence[float], i: int) -> float:
    """Share of its radius that the bend at point ``i`` gets from the scarcer of its two legs, 0 to 1."""
    if math.isinf(wanted[i]):
        return 0.0
    shares = [1.0]
    for leg, other in ((i - 1, i - 1), (i, i + 1)):
        asked = wanted[i] + (wanted[other] if math.isfinite(wanted[other]) else 0.0)
        shares.append(lengths[leg] / asked)
    return min(shares)


def _rounded(before_mm: Vec, corner: _Corner, after_mm: Vec, within_mm: float) -> list[Vec]:
    """Points that stand for one bend, the corner itself when it is sharp."""
    if corner.radius_mm <= 0.0:
        return [corner.at_mm]
    half = math.radians(corner.turn_deg) / 2.0
    sides = _side_count(corner.radius_mm, 2.0 * half, within_mm)
    if not sides:
        return [corner.at_mm]
    off = _least_off(2.0 * half, sides)
    behind, ahead = unit_to(corner.at_mm, before_mm), unit_to(corner.at_mm, after_mm)
    # The two units make equal angles with the line to the centre of the bend: their sum and difference are its axes.
    inward = _scaled(_plus(ahead, behind), 1.0 / (2.0 * math.sin(half)))
    side = _scaled(_plus(ahead, _scaled(behind, -1.0)), 1.0 / (2.0 * math.cos(half)))
    centre = along(corner.at_mm, inward, corner.radius_mm / math.cos(half))
    far = corner.radius_mm * (1.0 + off)
    reach = half - math.acos(1.0 / (1.0 + off))
    angles = [reach * (2.0 * k / sides - 1.0) for k in range(sides + 1)]
    return [along(along(centre, inward, -far * math.cos(a)), side, far * math.sin(a)) for a in angles]


def _side_count(radius_mm: float, turn_rad: float, within_mm: float) -> int:
    """How many sides a bend needs; none when its bare corner is near enough."""
    return max(0, math.ceil(_sides_at(turn_rad, within_mm / radius_mm) - _SAME_MM))


def _sides_at(turn_rad: float, off: float) -> float:
    """How many sides, in fractions, span a turn when each strays by ``off`` radii; below 0: a bare corner will do."""
    lead = math.acos(1.0 / (1.0 + off))
    return (turn_rad - 2.0 * lead) / (2.0 * math.acos(max(-1.0, (1.0 - off) / (1.0 + off))))


def _least_off(turn_rad: float, sides: int) -> float:
    """Least deviation, as a share of the radius, with which so many sides span the turn."""
    low, high = 0.0, 1.0 / math.cos(turn_rad / 2.0) - 1.0
    for _ in range(_HALVINGS):
        middle = (low + high) / 2.0
        if middle > 0.0 and _sides_at(turn_rad, middle) <= sides:
            high = middle
        else:
            low = middle
    return high


def _scaled(way: Vec, by: float) -> Vec:
    return (way[0] * by, way[1] * by, way[2] * by)


def _plus(a: Vec, b: Vec) -> Vec:
    return (a[0] + b[0], a[1] + b[1], a[2] + b[2])
