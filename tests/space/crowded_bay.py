"""An invented vehicle of any size, as full as an engine bay: parts bolted together, askew, swinging, linked."""

from __future__ import annotations

import math
from typing import NamedTuple

import numpy as np
import numpy.typing as npt
from space_cases import vec

from planner.model.shapes import Box, Cylinder, Outline, Pose, Solid, Tube, Turn
from planner.space import Body, shifted, solid_body, swept_body

PITCH_MM = 64.0
"""Room a part has to itself on each axis, on average."""
KEEP_CLEAR_MM = 10.0
ANGLE = ((0.0, 0.0), (66.0, 0.0), (66.0, 15.0), (15.0, 15.0), (15.0, 60.0), (0.0, 60.0))
SWING = Turn(about_mm=(0.0, 0.0, 40.0), axis=(0.0, 1.0, 0.0), from_deg=0.0, to_deg=18.0)
SWINGS_OF = 20
"""One part in so many swings."""


class Bay(NamedTuple):
    """Bodies of parts, how far each keeps clear [mm], which of them swing, and links as pairs of part numbers."""

    bodies: list[Body]
    margins_mm: list[float]
    swinging: list[int]
    links: list[tuple[int, int]]


def bay(parts: int, seed: int = 1) -> Bay:
    """So many parts on a jumbled lattice whose volume grows with their number.

    A third stand askew, one in ten is bolted flush to the part before it, one in twenty swings; boxes, bars, pipes
    with two bends, and angles with a block on them take turns. Half keep 10 mm clear, half need only not overlap.
    """
    rng = np.random.default_rng(seed)
    bodies: list[Body] = []
    for k, at in enumerate(_places(parts, rng)):
        solids, pose = _solids(k % 4, rng.uniform(30.0, 68.0, 3)), _pose(k, at, rng)
        swings = k % SWINGS_OF == SWINGS_OF - 1
        body = swept_body(solids, pose, SWING) if swings else solid_body(solids, pose)
        if k % 10 == 5:
            low, high = np.array(body.lo_mm), np.array(bodies[-1].hi_mm)
            body = shifted(body, vec([high[0] - low[0], 0.0, 0.0]))
        bodies.append(body)
    margins = [KEEP_CLEAR_MM if k % 2 else 0.0 for k in range(parts)]
    swinging = list(range(SWINGS_OF - 1, parts, SWINGS_OF))
    links = [(k, min(parts - 1, k + int(rng.integers(1, 4)))) for k in range(0, parts - 1, 2)]
    return Bay(bodies, margins, swinging, links)


def run_of(one: Body, other: Body) -> Body:
    """Body of a pipe of 8 mm from the top of one part to the top of another, by way of one bend."""
    start, end = _top(one), _top(other)
    bend = (start[0], end[1], max(start[2], end[2]) + 10.0)
    return solid_body((Tube(across_mm=8.0, through_mm=(start, bend, end)),), Pose())


def _top(body: Body) -> tuple[float, float, float]:
    (x, y, _), (u, v, z) = body.lo_mm, body.hi_mm
    return ((x + u) / 2.0, (y + v) / 2.0, z + 4.5)


def _places(parts: int, rng: np.random.Generator) -> npt.NDArray[np.float64]:
    """Places (n, 3) [mm] in a block about twice as long as wide and half as high again as that."""
    side = (parts / 4.0) ** (1.0 / 3.0)
    wide, high = max(1, round(1.4 * side)), max(1, round(side))
    long = math.ceil(parts / (wide * high))
    grid = np.array([(x, y, z) for x in range(long) for y in range(wide) for z in range(high)], dtype=np.float64)
    places: npt.NDArray[np.float64] = (grid[:parts] + rng.uniform(-0.08, 0.08, (parts, 3))) * PITCH_MM
    return places


def _pose(number: int, at: npt.NDArray[np.float64], rng: np.random.Generator) -> Pose:
    turn = rng.integers(0, 4, 3) * 90.0 if number % 3 else rng.uniform(-180.0, 180.0, 3)
    return Pose(at_mm=vec(at), turn_deg=vec(turn))


def _solids(kind: int, size: npt.NDArray[np.float64]) -> tuple[Solid, ...]:
    if kind == 0:
        return (Box(size_mm=vec(size)),)
    if kind == 1:
        return (Cylinder(across_mm=float(size[0]), length_mm=1.2 * float(size[1]), along="x"),)
    if kind == 2:
        run = ((-size[0] / 2, 0.0, 0.0), (size[0] / 2, 0.0, 0.0), (size[0] / 2, size[1], 0.0), (size[0], size[1], 30.0))
        return (Tube(across_mm=8.0, through_mm=tuple(vec(point) for point in run)),)
    block = Box(size_mm=vec(size / 2.0), pose=Pose(at_mm=(0.0, 0.0, float(size[2]) / 4.0)))
    points = tuple((x - 33.0, y - 30.0) for x, y in ANGLE)
    return (Outline(points_mm=points, thick_mm=5.0, along="z"), block)
