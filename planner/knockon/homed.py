"""What a part is mounted on in a home of which only the pose was kept."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace

from planner.model.shapes import Pose
from planner.model.vehicle import Component, Space
from planner.shelf.built import same_pose
from planner.space import extent_mm


def host_at(part: Component, home: Pose, spaces: Iterable[Space]) -> str | None:
    """What the mounting space is on that the part's middle lies in there; its own host where it lies in none.

    A part that is there already is on its own host, whatever space reaches there.
    Where spaces of several hosts overlap there, the one that it is mounted on now is taken, else the first.
    """
    if same_pose(part.pose, home):
        return part.mounted_on
    low, high = extent_mm(part.solids, home)
    middle = [(a + b) / 2 for a, b in zip(low, high, strict=True)]
    on = [s.on for s in spaces if _holds(s, middle)]
    return part.mounted_on if not on or part.mounted_on in on else on[0]


def homed(part: Component, home: Pose, spaces: Iterable[Space]) -> Component:
    """A part in a home, mounted on what is there."""
    return replace(part, pose=home, mounted_on=host_at(part, home, spaces))


def _holds(space: Space, point_mm: Sequence[float]) -> bool:
    low, high = extent_mm((space.box,), Pose())
    return all(a <= x <= b for a, x, b in zip(low, point_mm, high, strict=True))
