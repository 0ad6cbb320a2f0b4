"""Which face of a part stays where it is when the part turns out larger or smaller than its file says.

A face that lies on the part's own zero is the one its place was measured from; else the face by which it stands on, or
hangs from, what it is mounted on. Where there is neither it grows about its middle.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from planner.model.shapes import AXES, Box, Cylinder, Mesh, Outline, Pose, Solid, Vec
from planner.model.vehicle import Component
from planner.shelf.extents import holding_corners, posed

NEAR_MM = 1.0
"""A face this near to a plane lies in it, as far as a tape can tell (starting guess)."""
_ALONG = 0.9999
"""Directions whose cosine is this or more are one."""

Ends = tuple[int, int, int]
"""Along three axes: -1 where the face at the low end stays, 1 where that at the high end does, 0 where neither."""


def kept_ends(solids: Sequence[Solid], pose: Pose, host: Component | None) -> Ends:
    """Find the faces of a part that stay, along the axes of its own frame; ``host`` is what it is mounted on."""
    points = [point for solid in solids for point in _box_corners(solid)]
    return _ends(points, (AXES["x"], AXES["y"], AXES["z"]), pose, host)


def kept_of(solid: Solid, pose: Pose, host: Component | None) -> Ends:
    """Find the faces of one solid that stay, along its own axes, in a part that is at ``pose``."""
    return _ends(_box_corners(solid), axes_of(solid), pose, host)


def zero_ends(solid: Solid) -> Ends:
    """Find the faces of one solid that lie on the zero of its part, along its own axes."""
    points = _box_corners(solid)
    x, y, z = (_zero_end(_span(points, axis)) if points else 0 for axis in axes_of(solid))
    return x, y, z


def axes_of(solid: Solid) -> tuple[Vec, Vec, Vec]:
    """Give the axes of a solid as they lie in the frame of its part."""
    frame = Pose(turn_deg=solid.pose.turn_deg)
    x, y, z = (posed(axis, frame) for axis in AXES.values())
    return x, y, z


def sized_axes(solid: Solid, size: str) -> tuple[int, ...]:
    """Give the axes of a solid, by number, along which a size of it says how large it is."""
    match solid:
        case Box() if size in AXES:
            return ("xyz".index(size),)
        case Cylinder(along=along) if size == "across":
            return tuple(i for i in range(3) if i != "xyz".index(along))
        case Cylinder(along=along) | Outline(along=along) if size in {"length", "thick"}:
            return ("xyz".index(along),)
    return ()


def shift_per_mm(solid: Solid, size: str, ends: Ends) -> Vec:
    """Give how far the middle of a solid goes, in the frame of its part, for each mm that a size of it is more."""
    axes = axes_of(solid)
    x, y, z = (-sum(ends[k] * axes[k][i] for k in sized_axes(solid, size)) / 2 for i in range(3))
    return x, y, z


def _ends(points: Sequence[Vec], axes: tuple[Vec, Vec, Vec], pose: Pose, host: Component | None) -> Ends:
    if not points:
        return 0, 0, 0
    spans = [_span(points, axis) for axis in axes]
    x, y, z = (_zero_end(span) or _standing_end(points, axes, axis, pose, host) for axis, span in enumerate(spans))
    return x, y, z


def _zero_end(span: tuple[float, float]) -> int:
    low, high = (abs(end) <= NEAR_MM for end in span)
    return 0 if low is high else -1 if low else 1


def _standing_end(
    points: Sequence[Vec], axes: tuple[Vec, Vec, Vec], axis: int, pose: Pose, host: Component | None
) -> int:
    """The face by which a part touches its host, with the host's face opposite."""
    if host is None:
        return 0
    frame = Pose(turn_deg=pose.turn_deg)
    ways = [posed(a, frame) for a in axes]
    there = [posed(p, pose) for p in points]
    spans = [_span(there, way) for way in ways]
    touched = set()
    for solid in host.solids:
        if not any(abs(_dot(posed(a, Pose(turn_deg=host.pose.turn_deg)), ways[axis])) > _ALONG for a in axes_of(solid)):
            continue
        other = [posed(p, host.pose) for p in _box_corners(solid)]
        theirs = [_span(other, way) if other else (0.0, 0.0) for way in ways]
        beside = (
            min(spans[i][1], theirs[i][1]) - max(spans[i][0], theirs[i][0]) > NEAR_MM for i in range(3) if i != axis
        )
        if all(beside):
            touched |= {-1} if abs(theirs[axis][1] - spans[axis][0]) <= NEAR_MM else set()
            touched |= {1} if abs(theirs[axis][0] - spans[axis][1]) <= NEAR_MM else set()
    return touched.pop() if len(touched) == 1 else 0


def _box_corners(solid: Solid) -> list[Vec]:
    """Corners of the box round a solid, along its own axes, in the frame of its part; a tube has no faces."""
    if isinstance(solid, Cylinder):
        axis = "xyz".index(solid.along)
        x, y, z = (solid.length_mm if i == axis else solid.across_mm for i in range(3))
        return holding_corners(Box(size_mm=(x, y, z), pose=solid.pose))
    return holding_corners(solid) if isinstance(solid, Box | Outline | Mesh) else []


def _span(points: Iterable[Vec], way: Vec) -> tuple[float, float]:
    along = [_dot(p, way) for p in points]
    return min(along), max(along)


def _dot(one: Vec, other: Vec) -> float:
    return sum(a * b for a, b in zip(one, other, strict=True))
