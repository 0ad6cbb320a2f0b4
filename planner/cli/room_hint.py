"""A working room that is not free as the vehicle stands: the line for the file that says what is so."""

from __future__ import annotations

import json
import re
from dataclasses import replace
from math import floor
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from planner.files import Plain
    from planner.knockon import Fault
    from planner.model.vehicle import Component, Room, Vehicle

_PLAIN = re.compile(r"[A-Za-z][A-Za-z0-9 ]*")
"""Names that a file may have without quotes round them."""
_INCH_STEP_MM = 2.54
"""Depths in inches are told to a tenth of one."""


def room_hint(fault: Fault, vehicle: Vehicle) -> str:
    """What to write where a part does stand in another's room: a shallower one, or one needed for taking off only."""
    found = _room_of(fault, vehicle)
    if found is None:
        return "measure again, or give the part that needs the room its own `rooms`"
    part, room = found
    if not _is_written(part):
        return (
            f"measure both again; if it is so on the vehicle, make `{room.name}` smaller in the `rooms` of `{part.id}`"
        )
    ways = []
    if less_mm := _left_mm(fault, vehicle, part, room):
        ways.append(f"where less is enough, {_line(part, room, vehicle, depth_mm=less_mm)}")
    ways.append(f"where it need not be free in use, {_line(part, room, vehicle, needed='taking off')}")
    told = " or ".join(ways)
    return f"measure both again; if it is so on the vehicle, write in the block of `{part.id}`: {told}"


def rooms_as_they_are(fault: Fault, vehicle: Vehicle) -> tuple[str, list[Plain]] | None:
    """Whose `rooms` make it true that the other part stands there, and what is written for them.

    The room is as deep as is left of it, else it is needed for taking off only. None where a room is a solid of its
    own: no line says that.
    """
    from planner.model.vehicle import RoomNeed

    found = _room_of(fault, vehicle)
    if found is None or not _is_written(found[0]):
        return None
    part, room = found
    less_mm = _left_mm(fault, vehicle, part, room)
    told: list[Plain] = []
    for each in part.rooms:
        deep_mm = less_mm if each is room and less_mm else each.depth_mm
        needed = RoomNeed.TAKING_OFF if each is room and not less_mm else each.needed
        depth = _depth_words(deep_mm, vehicle.units)
        told.append({"name": each.name, "side": str(each.side), "depth": depth, "needed": needed.value})
    return part.id, told


def _left_mm(fault: Fault, vehicle: Vehicle, part: Component, room: Room) -> float:
    """How deep a room is that the other part leaves free [mm]; 0 where it leaves none."""
    less_mm = _rounded_down(room.depth_mm - fault.mm, vehicle.units)
    return less_mm if less_mm > 0.0 and _is_free(fault, vehicle, part, room, less_mm) else 0.0


def _is_free(fault: Fault, vehicle: Vehicle, part: Component, room: Room, less_mm: float) -> bool:
    """Whether a room so deep is free of the other part: one that stands in it from the side is not left so."""
    from planner.knockon.conflicts import rules_now
    from planner.knockon.placed import place

    other = vehicle.components[fault.other if part.id == fault.part else fault.part]
    rooms = tuple(replace(r, depth_mm=less_mm) if r is room else r for r in part.rooms)
    return not rules_now(vehicle).rooms_lost(place(replace(part, rooms=rooms)), place(other))


def _room_of(fault: Fault, vehicle: Vehicle) -> tuple[Component, Room] | None:
    """The part whose room it is, and which of its rooms."""
    from planner.model.vehicle import RoomNeed

    parts = [vehicle.components[i] for i in (fault.part, fault.other) if i in vehicle.components]
    rooms = [(p, r) for p in parts for r in p.rooms if r.needed is RoomNeed.ALWAYS and r.name in fault.text]
    owners = [(p, r) for p, r in rooms if p.id == fault.part] or rooms
    return owners[0] if owners else None


def _is_written(part: Component) -> bool:
    """Whether all rooms of a part can be told in a line: those beside a face, not solids of their own."""
    return all(room.side is not None for room in part.rooms)


def _line(part: Component, blocked: Room, vehicle: Vehicle, *, depth_mm: float = 0.0, needed: str = "") -> str:
    """All rooms of a part as its block would have them, with one of them otherwise."""
    told = []
    for room in part.rooms:
        deep_mm = depth_mm if room is blocked and depth_mm else room.depth_mm
        when = needed if room is blocked and needed else room.needed.value
        name = room.name if _PLAIN.fullmatch(room.name) else json.dumps(room.name, ensure_ascii=False)
        depth = _depth_words(deep_mm, vehicle.units)
        told.append(f"{{name: {name}, side: {room.side}, depth: {depth}, needed: {when}}}")
    return f"`rooms: [{', '.join(told)}]`"


def _rounded_down(mm: float, units: str) -> float:
    step = _INCH_STEP_MM if units == "inch" else 1.0
    return floor(round(mm / step, 6)) * step


def _depth_words(mm: float, units: str) -> str:
    return f"{round(mm / 25.4, 3):g} in" if units == "inch" else f"{round(mm, 2):g} mm"
