"""A run of straight legs with a bend of one radius at each corner: what it takes, how long it is, as short chords."""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import pairwise

from planner.model.shapes import Vec

STRAIGHT_DEG = 0.5
"""A corner that turns by less is no bend."""
_CHORD_DEG = 15.0
_SAME_MM = 1e-9
_FOLD_DEG = 179.0


def turn_deg(before_mm: Vec, corner_mm: Vec, after_mm: Vec) -> float:
    """Angle [deg] by which a run turns at a corner; 0 is straight on."""
    a, b, c = (q - p for p, q in zip(before_mm, corner_mm, strict=True))
    d, e, f = (q - p for p, q in zip(corner_mm, after_mm, strict=True))
    # The arc tangent keeps small angles that the cosine alone would lose.
    across = math.hypot(b * f - c * e, c * d - a * f, a * e - b * d)
    return math.degrees(math.atan2(across, a * d + b * e + c * f))


def set_back_mm(turn: float, bend_mm: float) -> float:
    """How much of each leg a bend of ``turn`` [deg] takes up [mm]; infinite when the run folds back on itself."""
    if turn < STRAIGHT_DEG:
        return 0.0
    return math.inf if turn > _FOLD_DEG else bend_mm * math.tan(math.radians(turn) / 2.0)


def turns_deg(points_mm: Sequence[Vec]) -> list[float]:
    """Angle [deg] at each corner between the first and the last point."""
    return [turn_deg(*points_mm[i - 1 : i + 2]) for i in range(1, len(points_mm) - 1)]


def spare_mm(points_mm: Sequence[Vec], bend_mm: float, straight_mm: float) -> list[float]:
    """What is left of each leg [mm] between its bends; the first and last leg keep ``straight_mm`` for the fittings."""
    backs = [straight_mm, *(set_back_mm(t, bend_mm) for t in turns_deg(points_mm)), straight_mm]
    return [math.dist(a, b) - backs[i] - backs[i + 1] for i, (a, b) in enumerate(pairwise(points_mm))]


def developed_mm(points_mm: Sequence[Vec], bend_mm: float) -> float:
    """Length of the centre line [mm] when each corner is bent round ``bend_mm``."""
    length = sum(math.dist(a, b) for a, b in pairwise(points_mm))
    for turn in turns_deg(points_mm):
        if turn >= STRAIGHT_DEG:
            length += bend_mm * math.radians(turn) - 2.0 * set_back_mm(turn, bend_mm)
    return length


def chords(points_mm: Sequence[Vec], bend_mm: float) -> list[tuple[Vec, Vec, float]]:
    """The bent centre line as straight pieces (start, end, how far the true line bows off it [mm]), in order."""
    found: list[tuple[Vec, Vec, float]] = []
    at = points_mm[0]
    for i in range(1, len(points_mm) - 1):
        arc = arc_points(points_mm[i - 1], points_mm[i], points_mm[i + 1], bend_mm)
        if math.dist(at, arc[0]) > _SAME_MM:
            found.append((at, arc[0], 0.0))
        found.extend(arc_chords(arc, turn_deg(*points_mm[i - 1 : i + 2]), bend_mm))
        at = arc[-1]
    if math.dist(at, points_mm[-1]) > _SAME_MM or not found:
        found.append((at, points_mm[-1], 0.0))
    return found


def arc_chords(arc: Sequence[Vec], turn: float, bend_mm: float) -> list[tuple[Vec, Vec, float]]:
    """The chords of a bend with how far it bows off them [mm]; none for a corner that is straight."""
    steps = len(arc) - 1
    bow = bend_mm * (1.0 - math.cos(math.radians(turn) / (2.0 * steps))) if steps else 0.0
    return [(a, b, bow) for a, b in pairwise(arc)]


def arc_points(before_mm: Vec, corner_mm: Vec, after_mm: Vec, bend_mm: float) -> list[Vec]:
    """Points on the bend at a corner, from where it begins to where it ends; the corner itself when it is straight."""
    turn = turn_deg(before_mm, corner_mm, after_mm)
    back = set_back_mm(turn, bend_mm)
    if back <= _SAME_MM or math.isinf(back):
        return [corner_mm]
    behind, ahead = unit_to(corner_mm, before_mm), unit_to(corner_mm, after_mm)
    half = math.radians(turn) / 2.0
    # The two units make equal angles with the line to the centre of the bend: sums and differences are its axes.
    inward = along((0.0, 0.0, 0.0), _plus(ahead, behind), 1.0 / (2.0 * math.sin(half)))
    side = along((0.0, 0.0, 0.0), _plus(ahead, along((0.0, 0.0, 0.0), behind, -1.0)), 1.0 / (2.0 * math.cos(half)))
    centre = along(corner_mm, inward, bend_mm / math.cos(half))
    steps = math.ceil(turn / _CHORD_DEG)
    angles = [2.0 * half * (k / steps - 0.5) for k in range(steps + 1)]
    return [along(along(centre, inward, -bend_mm * math.cos(v)), side, bend_mm * math.sin(v)) for v in angles]


def along(point_mm: Vec, way: Vec, mm: float) -> Vec:
    """The place ``mm`` along a direction from a point."""
    return (point_mm[0] + way[0] * mm, point_mm[1] + way[1] * mm, point_mm[2] + way[2] * mm)


def unit_to(from_mm: Vec, to_mm: Vec) -> Vec:
    """Direction from one place to another, of length 1; none at all when they are the same."""
    far = math.dist(from_mm, to_mm)
    if far < _SAME_MM:
        return (0.0, 0.0, 0.0)
    x, y, z = ((b - a) / far for a, b in zip(from_mm, to_mm, strict=True))
    return (x, y, z)


def _plus(a: Vec, b: Vec) -> Vec:
    return (a[0] + b[0], a[1] + b[1], a[2] + b[2])
