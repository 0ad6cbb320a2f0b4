"""The levers a vehicle has: found from its parts, their motions, ports and rods, as planes and angles."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass

import numpy as np

from planner.model.shapes import AXES, Cylinder, Turn
from planner.model.vehicle import Component, End, Link
from planner.space import port_mm, pose_mm, rotated
from planner.sums.lever import Lever, Point

PAD = "pad"
"""The port of a pedal that says where the foot pushes."""
SKEW_MOST = 0.26
"""Sine of the most a cylinder may point out of the lever's plane: 15 deg, a starting guess."""
SKEW_OTHER = 0.71
"""Sine from which on a round body is no piston of this lever but something else it turns, such as a shaft (45 deg)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class LeverThere:
    """A lever of the vehicle that pushes a cylinder.

    ``across_mm`` is the place of its plane on the vehicle's y axis. ``notes`` say what had to be taken for granted, in
    words.
    """

    part: str
    link: str
    cylinder: str
    lever: Lever
    across_mm: float
    aside_mm: float = 0.0
    """How far the rod's end lies to the right of the pad's middle."""
    notes: tuple[str, ...] = ()


def levers_there(components: Mapping[str, Component], links: Mapping[str, Link]) -> tuple[LeverThere, ...]:
    """Every lever with a rod to a cylinder, in the order of the links.

    A lever is a part that turns about the vehicle's y axis and has a rigid link to a part with a round body; the rod's
    port on that part and the body's middle give the way it is pushed. Others are left out.
    """
    found = []
    for link in links.values():
        for lever_end, other_end in (link.ends, link.ends[::-1]):
            part, other = components.get(lever_end.component), components.get(other_end.component)
            if link.rigid and part is not None and other is not None:
                found += list(_lever(part, other, link, (lever_end, other_end)))
    return tuple(found)


def _lever(part: Component, other: Component, link: Link, ends: tuple[End, End]) -> Iterator[LeverThere]:
    turn, bore = part.motion, bore_of(other)
    if not isinstance(turn, Turn) or bore is None or isinstance(other.motion, Turn):
        return
    axis = rotated(part.pose.turn_deg, turn.axis)
    if math.hypot(axis[0], axis[2]) > _STRAIGHT:
        return
    notes = []
    pivot = pose_mm(part.pose, turn.about_mm)
    clevis, seat = port_mm(part, ends[0].port), port_mm(other, ends[1].port)
    push = _push(bore, seat, other)
    if push is None or abs(push[1]) > SKEW_OTHER:
        return
    if abs(push[1]) > SKEW_MOST:
        notes.append(f"`{other.id}` points {math.degrees(math.asin(abs(push[1]))):.0f} deg out of the lever's plane")
    if PAD in part.ports_mm:
        pad = port_mm(part, PAD)
    else:
        pad = _far_end(part, pivot)
        notes.append(f"`{part.id}` has no port `{PAD}`: its end furthest from the pivot is taken")
    yield LeverThere(
        part=part.id,
        link=link.id,
        cylinder=other.id,
        lever=Lever(
            pivot_mm=_plane(pivot),
            clevis_mm=_plane(clevis),
            pad_mm=_plane(pad),
            mouth_mm=_plane(seat),
            push_deg=math.degrees(math.atan2(push[2], push[0])) % 360.0,
            rod_mm=math.dist(clevis, seat),
            travel_deg=_travel_deg(turn, axis[1]),
            beside_mm=clevis[1] - seat[1],
        ),
        across_mm=pivot[1],
        aside_mm=clevis[1] - pad[1],
        notes=tuple(notes),
    )


_STRAIGHT = 0.02
"""Sine of how far a pivot may stand off the vehicle's y axis (about a degree)."""


def _plane(point: tuple[float, float, float]) -> Point:
    return point[0], point[2]


def bore_of(part: Component) -> Cylinder | None:
    """The longest round body of a part: in a cylinder, the bore's."""
    rounds = [s for s in part.solids if isinstance(s, Cylinder)]
    return max(rounds, key=lambda s: s.length_mm, default=None)


def _push(bore: Cylinder, seat: tuple[float, float, float], part: Component) -> tuple[float, float, float] | None:
    """Unit vector in which the rod pushes: along the bore, from the rod's port towards the body's middle."""
    along = np.array(rotated(part.pose.turn_deg, rotated(bore.pose.turn_deg, AXES[bore.along])))
    middle = np.array(pose_mm(part.pose, bore.pose.at_mm))
    way = float(along @ (middle - np.array(seat)))
    if abs(way) < 1.0:
        return None
    x, y, z = (math.copysign(1.0, way) * along).tolist()
    return x, y, z


def _travel_deg(turn: Turn, along_y: float) -> float:
    """Travel from rest, counted from x towards z: the other way round than a right-handed turn about y."""
    return -math.copysign(1.0, along_y) * turn.far_deg


def _far_end(part: Component, pivot: tuple[float, float, float]) -> tuple[float, float, float]:
    """Middle of the solid furthest from the pivot."""
    middles = [pose_mm(part.pose, s.pose.at_mm) for s in part.solids]
    return max(middles, key=lambda m: math.dist(m, pivot))
