"""Solids of a part that add nothing to it: written twice, or wholly inside a block of the same part."""

from __future__ import annotations

import math
from collections.abc import Sequence

from planner.model.shapes import Box, Cylinder, Solid, Tube, Vec
from planner.shelf.extents import holding_corners, to_own_frame

_SAME_MM = 1e-6


def needless(solids: Sequence[Solid]) -> list[tuple[int, int]]:
    """Solids that add nothing, each with the first one (both from 0) that holds all of it."""
    found = []
    for i, solid in enumerate(solids):
        for j, other in enumerate(solids):
            if i != j and ((solid == other and j < i) or (solid != other and _is_within(solid, other))):
                found.append((i, j))
                break
    return found


def _is_within(solid: Solid, other: Solid) -> bool:
    """Whether a solid lies wholly inside a block; never said of one that does not."""
    if not isinstance(other, Box):
        return False
    corners, ball_mm = _held(solid)
    for corner in corners:
        own = to_own_frame(corner, other.pose)
        if any(abs(v) + ball_mm > size / 2.0 + _SAME_MM for v, size in zip(own, other.size_mm, strict=True)):
            return False
    return True


def _held(solid: Solid) -> tuple[list[Vec], float]:
    """Points whose hull, grown by a ball, holds the solid, and that ball [mm]."""
    grown = {Tube: 0.5, Cylinder: 0.5 - 0.5 / math.sqrt(2.0)}.get(type(solid), 0.0)
    return holding_corners(solid), grown * (solid.across_mm if isinstance(solid, (Tube, Cylinder)) else 0.0)
