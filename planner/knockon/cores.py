"""Boxes that lie wholly inside a part: where two of them overlap, the parts do, and nothing finer need be asked."""

from __future__ import annotations

import math
from dataclasses import dataclass, field

from planner.model.shapes import Box, Cylinder, Pose, Solid, Vec
from planner.model.vehicle import Component
from planner.space import extent_mm

Core = tuple[Vec, Vec]
"""Low and high corner [mm]."""
_QUARTER_DEG = 90.0
_ROUNDING = 1e-9
SURE_MM = 0.2
"""Cores that overlap by this much overlap beyond any tolerance."""
_SLANTS_DEG = (12.0, 28.0, 45.0, 62.0, 78.0)
"""Where, round a cylinder, the edges of the bars inside it lie."""
BOX = 3
MOST_CORES = len(_SLANTS_DEG)
"""No part has more cores."""


@dataclass(slots=True)
class CoreBook:
    """Cores of parts about their own origins, by solids and turn."""

    _found: dict[tuple[str, Vec, int], tuple[Component, tuple[Core, ...]]] = field(default_factory=dict)
    _plain: dict[tuple[str, Vec, int], tuple[Component, int | None]] = field(default_factory=dict)

    def plain(self, part: Component) -> int | None:
        """What a part is when it is one upright box (:data:`BOX`) or one cylinder along an axis (0, 1 or 2)."""
        key = (part.id, part.pose.turn_deg, id(part.solids))
        if key not in self._plain:
            alone = len(part.solids) == 1 and part.motion is None
            self._plain[key] = (part, _plain(part.solids[0], part.pose.turn_deg) if alone else None)
        return self._plain[key][1]

    def of(self, part: Component) -> tuple[Core, ...]:
        """Boxes that a part holds for certain, about its origin in the turn it is in, the largest first."""
        key = (part.id, part.pose.turn_deg, id(part.solids))
        if key not in self._found:
            cores = [c for s in part.solids for c in _cores_of(s, part.pose.turn_deg)]
            largest = sorted(cores, key=lambda c: (-_volume(c), c))[:MOST_CORES]
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
    if not any((*turn_deg, *solid.pose.turn_deg)):
        return [_upright(box) for box in boxes]
    return [extent_mm((box,), Pose(turn_deg=turn_deg)) for box in boxes]


def _upright(box: Box) -> Core:
    (x, y, z), (a, b, c) = box.pose.at_mm, (s / 2.0 for s in box.size_mm)
    return (x - a, y - b, z - c), (x + a, y + b, z + c)


def _plain(solid: Solid, turn_deg: Vec) -> int | None:
    if not isinstance(solid, Box | Cylinder) or not all(_is_quarter(t) for t in (*turn_deg, *solid.pose.turn_deg)):
        return None
    if isinstance(solid, Box):
        return BOX
    if not any((*turn_deg, *solid.pose.turn_deg)):
        return "xyz".index(solid.along)
    size = [2.0 if axis == solid.along else 1.0 for axis in "xyz"]
    low, high = extent_mm((Box(size_mm=(size[0], size[1], size[2]), pose=solid.pose),), Pose(turn_deg=turn_deg))
    return max(range(3), key=lambda i: high[i] - low[i])


def _bar(cylinder: Cylinder, slant_deg: float) -> Box:
    sides = [cylinder.across_mm * f(math.radians(slant_deg)) for f in (math.cos, math.sin)]
    size = [cylinder.length_mm if axis == cylinder.along else sides.pop() for axis in "xyz"]
    return Box(size_mm=(size[0], size[1], size[2]), pose=cylinder.pose)


def _is_quarter(turn_deg: float) -> bool:
    return abs(math.remainder(turn_deg, _QUARTER_DEG)) < _ROUNDING
