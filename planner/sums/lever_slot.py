"""The slot a lever's arm asks for in a sheet it passes through: where each end must be, at every angle of the travel.

The arm is a row of bars with round ends, the sheet a band between its two faces. For a bar the furthest point along the
sheet within the band is found in closed form (a bar's outline is convex, so it lies at the bar's own furthest point or
on the face nearest to it); over the travel the extremes are bracketed by samples and refined.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import TypeAlias

from planner.sums.basis import Basis, positive
from planner.sums.lever import Lever, LeverError, Point, state_at, turned

SLOT_BASIS = Basis(
    source="plane geometry of the arm's outline at each angle",
    assumed=("the arm turns in the plane square to the sheet's cut", "the sheet is flat there"),
    not_covered=("a sheet that flexes", "an arm bent sideways", "rubber boots and seals, which need their own room"),
)
_SAMPLES = 181
_GOLDEN = (math.sqrt(5.0) - 1.0) / 2.0
_REFINED = 60


@dataclass(frozen=True, slots=True, kw_only=True)
class Sheet:
    """A sheet the arm passes through: a point in the middle of its thickness, the way it runs, how thick it is.

    ``runs_deg`` is the direction along the sheet: 0 lies level, 90 stands upright; lengths count from ``at_mm``.
    """

    at_mm: Point
    runs_deg: float
    thickness_mm: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Arm:
    """An arm at rest: its middle line from the pivot outwards, its width in the plane, its thickness across it [mm]."""

    line_mm: tuple[Point, ...]
    width_mm: float
    thick_mm: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Slot:
    """A slot along the sheet from ``low_mm`` to ``high_mm``, ``wide_mm`` across, clearance included.

    ``low_deg`` and ``high_deg`` are the angles from rest at which the arm comes nearest to each end.
    """

    low_mm: float
    high_mm: float
    wide_mm: float
    low_deg: float
    high_deg: float
    basis: Basis = SLOT_BASIS

    @property
    def long_mm(self) -> float:
        """Length of the slot."""
        return self.high_mm - self.low_mm


Line: TypeAlias = Callable[[float], tuple[Point, ...]]
"""Middle line of a bar when the lever is turned by so many degrees from rest."""


def slot(lever: Lever, arm: Arm, sheet: Sheet, *, clear_mm: float) -> Slot:
    """The slot in a sheet for the whole travel of a lever's arm.

    Parameters
    ----------
    lever : Lever
        For its pivot and travel.
    arm : Arm
    sheet : Sheet
    clear_mm : float
        Kept free at both ends and both sides.

    Raises
    ------
    LeverError
        The arm does not pass through the sheet at any angle.
    ValueError
        A size is not above 0, or the arm has no length.
    """
    positive(thick_mm=arm.thick_mm)
    if len(arm.line_mm) < 2:  # noqa: PLR2004  # a line has two ends
        raise ValueError("an arm needs at least two points")

    def line(angle_deg: float) -> tuple[Point, ...]:
        return tuple(turned(p, lever.pivot_mm, angle_deg) for p in arm.line_mm)

    return _slot(lever, line, (arm.width_mm, arm.thick_mm), sheet, clear_mm)


def rod_slot(lever: Lever, across_mm: float, sheet: Sheet, *, clear_mm: float) -> Slot:
    """The same for the lever's push-rod, a round bar from its clevis to the piston.

    Raises
    ------
    LeverError
        The rod does not pass through the sheet at any angle, or does not reach the piston.
    ValueError
        A size is not above 0.
    """

    def line(angle_deg: float) -> tuple[Point, ...]:
        state = state_at(lever, angle_deg)
        return state.clevis_mm, state.seat_mm

    return _slot(lever, line, (across_mm, across_mm), sheet, clear_mm)


def _slot(lever: Lever, line: Line, size_mm: tuple[float, float], sheet: Sheet, clear_mm: float) -> Slot:
    width, thick = size_mm
    positive(thickness_mm=sheet.thickness_mm, width_mm=width)
    angles = [lever.travel_deg * n / (_SAMPLES - 1) for n in range(_SAMPLES)]

    def end(way: float) -> tuple[float, float]:
        def reach(angle: float) -> float:
            return _furthest(line(angle), width, sheet, way)

        best = max(angles, key=reach)
        if reach(best) == -math.inf:
            raise LeverError("the arm does not pass through the sheet")
        step = abs(lever.travel_deg) / (_SAMPLES - 1)
        low, high = min(0.0, lever.travel_deg), max(0.0, lever.travel_deg)
        near = _peak(reach, max(low, best - step), min(high, best + step))
        angle = max((best, near, low, high), key=reach)
        return angle, reach(angle)

    (low_deg, low_mm), (high_deg, high_mm) = end(-1.0), end(1.0)
    return Slot(
        low_mm=-low_mm - clear_mm,
        high_mm=high_mm + clear_mm,
        wide_mm=thick + 2.0 * clear_mm,
        low_deg=low_deg,
        high_deg=high_deg,
    )


def _peak(height: Callable[[float], float], low: float, high: float) -> float:
    """Where a function with one peak between two points is highest, by golden section."""
    a, b = high - _GOLDEN * (high - low), low + _GOLDEN * (high - low)
    ha, hb = height(a), height(b)
    for _ in range(_REFINED):
        if ha < hb:
            low, a, ha = a, b, hb
            b = low + _GOLDEN * (high - low)
            hb = height(b)
        else:
            high, b, hb = b, a, ha
            a = high - _GOLDEN * (high - low)
            ha = height(a)
    return (low + high) / 2.0


def _furthest(line: tuple[Point, ...], width_mm: float, sheet: Sheet, way: float) -> float:
    """Furthest point of the bars within the sheet, along it one way or the other; minus infinity when none is."""
    laid = [_on_sheet(p, sheet, way) for p in line]
    return max(_bar_reach(a, b, width_mm / 2.0, sheet.thickness_mm / 2.0) for a, b in pairwise(laid))


def _on_sheet(point: Point, sheet: Sheet, way: float) -> Point:
    """A point as its place along the sheet (one way) and its height over the middle of it."""
    c, s = math.cos(math.radians(sheet.runs_deg)), math.sin(math.radians(sheet.runs_deg))
    x, z = point[0] - sheet.at_mm[0], point[1] - sheet.at_mm[1]
    return way * (c * x + s * z), c * z - s * x


def _bar_reach(a: Point, b: Point, radius: float, half: float) -> float:
    """Furthest point along the first axis of a bar with round ends, within ``half`` of the second axis' zero."""
    low, high = min(a[1], b[1]) - radius, max(a[1], b[1]) + radius
    if high < -half or low > half:
        return -math.inf
    top = max((a, b), key=lambda p: p[0])[1]
    height = min(max(top, -half, low), half, high)
    return _edge((a, b), radius, height)


def _edge(ends: Sequence[Point], radius: float, height: float) -> float:
    """Furthest point of the bar at a height: on one of its round ends or on the straight side between them."""
    found = [
        x + math.sqrt(max(0.0, radius**2 - (height - y) ** 2))
        for x, y in ends
        if abs(height - y) <= radius + 1e-12  # rounding at the very top of a round end
    ]
    (ax, ay), (bx, by) = ends
    length = math.hypot(bx - ax, by - ay)
    if length and by != ay:
        side = math.copysign(1.0, by - ay)
        nx, ny = side * (by - ay) / length, -side * (bx - ax) / length
        share = (height - ay - radius * ny) / (by - ay)
        if 0.0 <= share <= 1.0:
            found.append(ax + share * (bx - ax) + radius * nx)
    return max(found) if found else -math.inf
