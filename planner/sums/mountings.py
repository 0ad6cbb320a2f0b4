"""Bolts of a mounting under a push anywhere in space: shear off the group's middle, and tipping about its edge."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from planner.model.shapes import Vec
from planner.sums.bolt_groups import sheared, tipping_n

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True)
class BoltLoad:
    """The worst bolt's shear and the worst bolt's pull [N]; they need not be the same one."""

    shear_n: float
    pull_n: float


def worst_bolt(bolts_mm: Sequence[Vec], along: Vec, push_n: Vec, at_mm: Vec, *, edge_mm: float = 0.0) -> BoltLoad:
    """Loads of a mounting's bolts.

    The push is taken to the plane of the bolts: its share in the plane shears them, evenly and by its moment about the
    bolts' way; the rest pulls evenly (where it presses it is counted as a pull, on the safe side) and tips the mounting
    about the edge that is pressed on.

    Parameters
    ----------
    bolts_mm : sequence of Vec
        At least two, with their middle plane square to ``along``.
    along : Vec
        Unit vector of the bolts; which of the two ways does not matter.
    push_n, at_mm : Vec
        The push on the mounting and a point of its line.
    edge_mm : float
        From the outermost row to the edge about which it tips; 0 is on the safe side.

    Raises
    ------
    ValueError
        There is no spread of bolts to take a moment.
    """
    places, way, push = np.array(bolts_mm), np.array(along), np.array(push_n)
    middle = places.mean(axis=0)
    moment = np.cross(np.array(at_mm) - middle, push)
    one, two = _across(way)
    flat = [(float(p @ one), float(p @ two)) for p in places - middle]
    force = (float(push @ one), float(push @ two))
    # The twist about the bolts is that of the same force at an arm square to it.
    twist, size = float(moment @ way), math.hypot(*force)
    arm = (0.0, 0.0) if not size else (twist * force[1] / size**2, -twist * force[0] / size**2)
    shear = max(share.total_n for share in sheared(flat, force, arm)) if size else 0.0
    even = abs(float(push @ way)) / len(bolts_mm)
    tip = moment - twist * way
    bend = float(np.linalg.norm(tip))
    return BoltLoad(
        shear_n=shear, pull_n=even + (_tipped_n(flat, (one, two), way, tip, edge_mm) if bend > _SMALL else 0.0)
    )


_SMALL = 1e-6


def _tipped_n(
    flat: Sequence[tuple[float, float]], axes: tuple[Floats, Floats], way: Floats, tip: Floats, edge_mm: float
) -> float:
    """Pull of the furthest row when the mounting tips about its edge, whichever of the two is the worse [N]."""
    bend = float(np.linalg.norm(tip))
    out = np.cross(tip / bend, way)
    line = (float(out @ axes[0]), float(out @ axes[1]))
    heights = [x * line[0] + y * line[1] for x, y in flat]
    if max(heights) - min(heights) + edge_mm <= 0.0:
        raise ValueError("bolts in one line cannot keep it from tipping: give `edge`, how far off it is pressed on")
    # Which of the two edges is pressed depends on the bolts' way; the worse of the two is on the safe side.
    return max(
        tipping_n([(h, 1) for h in sorted(side)], bend, 1.0)
        for side in (
            [h - min(heights) + edge_mm for h in heights],
            [max(heights) - h + edge_mm for h in heights],
        )
    )


def _across(way: Floats) -> tuple[Floats, Floats]:
    """Two unit vectors square to a third and to each other."""
    least = int(np.argmin(np.abs(way)))
    one = np.cross(way, np.eye(3)[least])
    one /= np.linalg.norm(one)
    return one, np.cross(way, one)
