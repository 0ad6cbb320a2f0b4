"""Whether a line of points can be bent to a radius: a bend of angle a takes radius * tan(a / 2) of both its legs."""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import pairwise
from typing import NamedTuple

from planner.model.shapes import Vec

_SAME_MM = 1e-3
_FOLD_DEG = 179.0


class TightLeg(NamedTuple):
    """A leg, from point ``leg`` (from 0) to the next, too short for the bends at its ends [mm]."""

    leg: int
    needs_mm: float
    has_mm: float


def tight_legs(points: Sequence[Vec], bend_mm: float) -> list[TightLeg]:
    """Every leg too short for its bends."""
    backs = [0.0, *(_back_mm(_turn_deg(*points[i - 1 : i + 2]), bend_mm) for i in range(1, len(points) - 1)), 0.0]
    legs = [(i, backs[i] + backs[i + 1], math.dist(a, b)) for i, (a, b) in enumerate(pairwise(points))]
    return [TightLeg(i, needs, has) for i, needs, has in legs if math.isfinite(needs) and needs > has + _SAME_MM]


def folds(points: Sequence[Vec]) -> list[int]:
    """Points (from 0) at which a line turns straight back on itself."""
    return [i for i in range(1, len(points) - 1) if _turn_deg(*points[i - 1 : i + 2]) > _FOLD_DEG]


def _back_mm(turn: float, bend_mm: float) -> float:
    return math.inf if turn > _FOLD_DEG else bend_mm * math.tan(math.radians(turn) / 2.0)


def _turn_deg(before: Vec, corner: Vec, after: Vec) -> float:
    a, b, c = (q - p for p, q in zip(before, corner, strict=True))
    d, e, f = (q - p for p, q in zip(corner, after, strict=True))
    across = math.hypot(b * f - c * e, c * d - a * f, a * e - b * d)
    return math.degrees(math.atan2(across, a * d + b * e + c * f))
