"""Boxes that lie wholly inside a part: where two of them overlap, the parts do, and nothing finer need be asked."""

from __future__ import annotations

import math
from dataclasses import dataclass, field

from planner.knockon.placed import Placed
from planner.model.shapes import Box, Cylinder, Pose, Solid, Vec
from planner.model.vehicle import Component
from planner.space import extent_mm

Core = tuple[Vec, Vec]
"""Low and high corner [mm]."""
_QUARTER_DEG = 90.0
_ROUNDING = 1e-9
_SURE_MM = 0.2
"""Cores that overlap by this much overlap beyond any tolerance."""
_SLANTS_DEG = (12.0, 28.0, 45.0, 62.0, 78.0)
"""Where, round a cylinder, the edges of the bars inside it lie."""


@dataclass(slots=True)
class CoreBook:
    """Cores of parts about their own origins, by solids and turn."""

    _found: dict[tuple[str, Vec, int], tuple[Component, tuple[Core, ...]]] = field(default_factory=dict)

    def overlap(self, a: Placed, b: Placed) -> bool:
        """Whether cores of two parts at rest overlap for certain."""
        x, y, z = (q - p for p, q in zip(a.part.pose.at_mm, b.part.pose.at_mm, strict=True))
        return any(
            min(p[1][0], q[1][0] + x) - max(p[0][0], q[0][0] + x) > _SURE_MM
            and min(p[1][1], q[1][1] + y) - max(p[0][1], q[0][1] + y) > _SURE_MM
            and min(p[1][2], q[1][2] + z) - max(p[0][2], q[0][2] + z) > _SURE_MM
            for p in self._cores(a.part)
            for q in self._cores(b.part)
        )

    def _cores(self, part: Component) -> tuple[Core, ...]:
        key = (part.id, part.pose.turn_deg, id(part.solids))
        if key not in self._found:
            cores = [c for s in part.solids for c in _cores_of(s, part.pose.turn_deg)]
            largest = sorted(cores, key=lambda c: (-_volume(c), c))[: len(_SLANTS_DEG)]
            # The part is kept with its cores, so that the id of its solids stays theirs.
            self._found[key] = (part, tuple(largest))
        return self._found[key][1]


def _volume(core: Core) -> float:
    return math.prod(high - low for low, high in zip(*core, strict=True))


def _cores_of(solid: Solid, turn_deg: Vec) -> list[Core]:
    """Boxes a solid holds: itself, or bars inside a cylinder; none when it is not square to the axes."""
    if not isinstance(solid, Box | Cylinder):
        return []
    if not all(_is_quarter(t) for t in (*turn_deg, *solid.pose.turn_deg)):
        return []
    boxes = [solid] if isinstance(solid, Box) else [_bar(solid, slant) for slant in _SLANTS_DEG]
    return [extent_mm((box,), Pose(turn_deg=turn_deg)) for box in boxes]


def _bar(cylinder: Cylinder, slant_deg: float) -> Box:
    sides = [cylinder.across_mm * f(math.radians(slant_deg)) for f in (math.cos, math.sin)]
    size = [cylinder.length_mm if axis == cylinder.along else sides.pop() for axis in "xyz"]
    return Box(size_mm=(size[0], size[1], size[2]), pose=cylinder.pose)


def _is_quarter(turn_deg: float) -> bool:
    return abs(math.remainder(turn_deg, _QUARTER_DEG)) < _ROUNDING
