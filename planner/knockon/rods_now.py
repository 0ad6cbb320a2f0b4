"""Rods that push a piston, as the vehicle stands: whether they lie in its line and meet their lever."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass

import numpy as np

from planner.knockon.tell_lean import MOST_LEAN_DEG
from planner.model.shapes import AXES, Box, Pose, Turn, Vec
from planner.model.vehicle import Component, End, Link
from planner.space import gap, port_mm, pose_mm, rotated, solid_body
from planner.sums.lever import STEEP_DEG
from planner.sums.levers_there import bore_of

BESIDE_MM = 10.0
"""By so much an end of a rod may be drawn beside what it joins: a tape goes round corners (starting guess)."""
_SLENDER = 1.25
"""A cylinder drawn as a block lies along its longest side if that is so much longer than the next (starting guess)."""
_POINT_MM = 0.1
_SHORT_MM = 0.5
_ROUNDING = 1e-9


@dataclass(frozen=True, slots=True, kw_only=True)
class RodFault:
    """What cannot be so of a rod that pushes a piston: ``lean_deg`` is how far it leans, ``mm`` how far it is off."""

    link: str
    other: str
    text: str
    mm: float
    at_mm: Vec
    lean_deg: float = 0.0


def rod_faults(
    links: Mapping[str, Link], components: Mapping[str, Component], length: Callable[[float], str]
) -> tuple[RodFault, ...]:
    """Rods that do not lie along the axis of the cylinder they push, or end beside their lever.

    A cylinder's axis is that of its longest round body, else the longest side of the block it is drawn as; a rod to
    one that has neither is not judged. A lean is let pass up to the ``swing`` of the rod, at least 5 degrees.

    Parameters
    ----------
    links, components : mapping of id to Link, Component
    length : callable
        Tells a length [mm] in the owner's units.
    """
    found: list[RodFault] = []
    for link in links.values():
        for end, other in (link.ends, link.ends[::-1]):
            if components[end.component].kind in link.pushes:
                found += _of(link, (components[end.component], end), (components[other.component], other), length)
                break
    return tuple(found)


def _of(
    link: Link, cylinder: tuple[Component, End], lever: tuple[Component, End], length: Callable[[float], str]
) -> list[RodFault]:
    """What is wrong with one rod."""
    found = _beside_lever(link, *lever, length)
    axis = _axis(cylinder[0])
    seat, pin = (np.array(port_mm(part, end.port)) for part, end in (cylinder, lever))
    if axis is None or np.linalg.norm(pin - seat) < _SHORT_MM:
        return found
    middle, along = axis
    rod = np.array(link.via_mm[0] if link.via_mm else pin) - seat
    lean_deg = _lean_deg(rod, along, seat - middle)
    most_deg = max(STEEP_DEG, link.swing_deg or 0.0)
    off_mm, seat_mm = (_off_mm(p - middle, along) for p in (pin, seat))
    name, far = cylinder[0].name, lever[0].name
    if lean_deg > most_deg:
        text = (
            f"{link.name} leans {math.ceil(10.0 * lean_deg - _ROUNDING) / 10.0:g} degrees out of the line of {name}, "
            f"{most_deg:g} at the most: {length(round(off_mm, 1))} beside that line at {far}"
        )
        text += f", {length(round(seat_mm, 1))} at {name}" if seat_mm > _SHORT_MM else ""
        found.append(_fault(link, cylinder[0], text, off_mm, pin, lean_deg))
    elif seat_mm > BESIDE_MM + cylinder[0].position_doubt_mm:
        text = f"{link.name} meets {name} {length(round(seat_mm, 1))} beside the line of its piston"
        found.append(_fault(link, cylinder[0], text, seat_mm, seat))
    return found


def _fault(link: Link, other: Component, text: str, mm: float, at: np.ndarray, lean_deg: float = 0.0) -> RodFault:
    x, y, z = at.tolist()
    return RodFault(link=link.id, other=other.id, text=text, mm=mm, at_mm=(x, y, z), lean_deg=lean_deg)


def _beside_lever(link: Link, lever: Component, end: End, length: Callable[[float], str]) -> list[RodFault]:
    """The rod's end hangs in the air beside the lever, or is at its pivot, where it would not be moved."""
    pin = port_mm(lever, end.port)
    point = solid_body((Box(size_mm=(_POINT_MM, _POINT_MM, _POINT_MM)),), Pose(at_mm=pin))
    off_mm = gap(solid_body(lever.solids, lever.pose), point).mm
    if off_mm > BESIDE_MM + lever.position_doubt_mm:
        text = f"{link.name} ends {length(round(off_mm, 1))} beside {lever.name}, it meets no pin there"
        return [_fault(link, lever, text, off_mm, np.array(pin))]
    if isinstance(lever.motion, Turn):
        about = np.array(pose_mm(lever.pose, lever.motion.about_mm))
        arm_mm = _off_mm(np.array(pin) - about, np.array(rotated(lever.pose.turn_deg, lever.motion.axis)))
        if arm_mm < BESIDE_MM:
            text = f"{link.name} joins {lever.name} {length(round(arm_mm, 1))} from its pivot, where it hardly moves"
            return [_fault(link, lever, text, arm_mm, np.array(pin))]
    return []


def _axis(part: Component) -> tuple[np.ndarray, np.ndarray] | None:
    """A point of a cylinder's axis and its unit vector; None where its shape does not tell."""
    bore = bore_of(part)
    solid, along = (bore, bore.along) if bore is not None else _long_block(part)
    if solid is None:
        return None
    unit = np.array(rotated(part.pose.turn_deg, rotated(solid.pose.turn_deg, AXES[along])))
    return np.array(pose_mm(part.pose, solid.pose.at_mm)), unit


def _long_block(part: Component) -> tuple[Box | None, str]:
    """The largest block of a part, and the axis of its longest side."""
    blocks = [s for s in part.solids if isinstance(s, Box)]
    if not blocks:
        return None, ""
    block = max(blocks, key=lambda b: math.prod(b.size_mm))
    *_, second, first = sorted(block.size_mm)
    return (block, "xyz"[block.size_mm.index(first)]) if first >= _SLENDER * second else (None, "")


def _off_mm(offset: np.ndarray, along: np.ndarray) -> float:
    """How far a point is beside a line, ``offset`` from one of its points."""
    return float(np.linalg.norm(offset - (offset @ along) * along))


def _lean_deg(rod: np.ndarray, along: np.ndarray, out: np.ndarray) -> float:
    """Angle [deg] between a rod and the line it pushes along; ``out`` is the way out of the cylinder, where known."""
    cosine = float(rod @ along) / float(np.linalg.norm(rod))
    way = float(out @ along)
    straight = abs(cosine) if abs(way) < 1.0 else math.copysign(1.0, way) * cosine
    return math.degrees(math.acos(max(-1.0, min(1.0, straight))))


def swing_for(lean_deg: float) -> int | None:
    """The `swing` [deg] to write where a rod leans so on the vehicle and does its work; None where none may lean so."""
    deg = math.ceil(lean_deg)
    return deg if 0 < deg <= MOST_LEAN_DEG else None
