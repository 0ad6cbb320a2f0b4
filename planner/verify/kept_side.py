"""The side of a part that stays where it is as the part is made larger and nobody says which: worked out by itself."""

from __future__ import annotations

import numpy as np

from planner.model.shapes import Pose, Tube
from planner.model.vehicle import Component
from planner.space import solid_body
from planner.verify.poses import turn_matrix

_LIES_IN_MM = 1.0
"""A side this near to a plane lies in it."""


def kept_sides(part: Component, host: Component | None) -> dict[int, int] | None:
    """Give axis of the part -> -1 or 1, the way that the side looks which stays; None where it sits askew in itself.

    That is the side in the part's own zero plane. Where neither or both lie in one it is the side that touches the
    part it is mounted on.
    """
    solids = [s for s in part.solids if not isinstance(s, Tube)]
    if any(angle % 90.0 for s in solids for angle in s.pose.turn_deg):
        return None
    found: dict[int, int] = {}
    if not solids:
        return found
    own = solid_body(solids, Pose())
    for axis in range(3):
        sides = [way for way, end in ((-1, own.lo_mm), (1, own.hi_mm)) if abs(end[axis]) <= _LIES_IN_MM]
        sides = sides if len(sides) == 1 else _touching(part, host, axis)
        if len(sides) == 1:
            found[axis] = sides[0]
    return found


def _touching(part: Component, host: Component | None, axis: int) -> list[int]:
    """The ways, along an axis of the part, in which its box has a box of its host right behind its side."""
    frame = turn_matrix(part.pose.turn_deg)
    # The part's own view of the host: both then lie square to the axis that is asked about.
    if host is None:
        return []
    ways: set[int] = set()
    mine = solid_body([s for s in part.solids if not isinstance(s, Tube)], Pose())
    for solid in (s for s in host.solids if not isinstance(s, Tube)):
        body = solid_body([solid], Pose())
        seen = frame.T @ turn_matrix(host.pose.turn_deg)
        if np.abs(seen @ turn_matrix(solid.pose.turn_deg))[axis].max() < 1.0 - 1e-4:
            continue
        corners = np.array(
            [[(body.lo_mm, body.hi_mm)[b][i] for i, b in enumerate(bits)] for bits in np.ndindex(2, 2, 2)]
        )
        there = corners @ seen.T + frame.T @ (np.array(host.pose.at_mm) - np.array(part.pose.at_mm))
        low, high = there.min(axis=0), there.max(axis=0)
        others = [i for i in range(3) if i != axis]
        if all(min(high[i], mine.hi_mm[i]) - max(low[i], mine.lo_mm[i]) > _LIES_IN_MM for i in others):
            ways |= {-1} if abs(high[axis] - mine.lo_mm[axis]) <= _LIES_IN_MM else set()
            ways |= {1} if abs(low[axis] - mine.hi_mm[axis]) <= _LIES_IN_MM else set()
    return sorted(ways)
