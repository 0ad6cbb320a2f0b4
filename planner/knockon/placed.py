"""A component set in one pose, with the bodies that other parts may not enter."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass, replace

from planner.model.shapes import Pose
from planner.model.vehicle import Component, Room, RoomNeed
from planner.space import Body, component_body, room_body, shifted, solid_body


@dataclass(frozen=True, slots=True)
class Placed:
    """A component in a pose: ``body`` includes what its motion sweeps, ``still`` is the part at rest."""

    part: Component
    body: Body
    still: Body
    rooms: tuple[tuple[Room, Body], ...]
    """Its always-needed working rooms."""


def place(part: Component) -> Placed:
    """Set a component in its own pose."""
    body = component_body(part)
    return Placed(
        part=part,
        body=body,
        still=body if part.motion is None else solid_body(part.solids, part.pose),
        rooms=tuple((r, room_body(part, r)) for r in part.rooms if r.needed is RoomNeed.ALWAYS),
    )


def placed_at(placed: Placed, pose: Pose) -> Placed:
    """The same component in another pose; a plain shift costs next to nothing."""
    part = replace(placed.part, pose=pose)
    if pose.turn_deg != placed.part.pose.turn_deg:
        return place(part)
    x, y, z = (b - a for a, b in zip(placed.part.pose.at_mm, pose.at_mm, strict=True))
    by_mm = (x, y, z)
    body = shifted(placed.body, by_mm)
    return Placed(
        part=part,
        body=body,
        still=body if placed.still is placed.body else shifted(placed.still, by_mm),
        rooms=tuple((r, shifted(b, by_mm)) for r, b in placed.rooms),
    )


def settled(placed: Mapping[str, Placed], base: Mapping[str, Placed], fixed: Collection[str]) -> dict[str, Placed]:
    """The parts of an arrangement that others have to make room for: placed by the job, or moved from ``base``."""
    return {i: p for i, p in placed.items() if i in fixed or moved_from(p.part, base[i].part)}


def moved_from(part: Component, before: Component) -> bool:
    """Whether a part stands elsewhere than before, or is made anew in another shape."""
    return part.pose != before.pose or part.solids != before.solids
