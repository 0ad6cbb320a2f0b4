"""Where on a part a link ends: a port made for it, and for an end without a place the spot nearest to the other end."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from planner.cli.new_sheet import Sheet
    from planner.files import Plain
    from planner.model.shapes import Vec
    from planner.model.vehicle import Vehicle
    from planner.shelf.fresh import Entry
    from planner.shelf.link_ends import EndFault


@dataclass(frozen=True, slots=True, kw_only=True)
class EndSaid:
    """One end of a link as the file has it, and the port that is new for it.

    ``told`` is the name of the part where it was called otherwise, ``odd`` what is odd about such a link there.
    """

    written: str
    new: tuple[Entry, ...] = ()
    told: str = ""
    odd: EndFault | None = None


def port_at(sheet: Sheet, part: str, port: str, point_mm: Vec, beside: tuple[Entry, ...]) -> Entry:
    """A new port of a part at a point in vehicle axes; ``beside`` are the ports that are made with it.

    The part is not turned.
    """
    from planner.files import Put
    from planner.shelf.fresh import Entry
    from planner.shelf.tape import in_units

    component = _vehicle(sheet).components[part]
    at: list[Plain] = [in_units(a - b, sheet.bare) for a, b in zip(point_mm, component.pose.at_mm, strict=True)]
    if component.ports_mm or any(part in e.put.path for e in beside):
        return Entry(put=Put(("components", part, "ports"), port, at))
    return Entry(put=Put(("components", part), "ports", {port: at}))


def on_the_skin(sheet: Sheet, end: EndSaid, other: EndSaid, beside: tuple[Entry, ...]) -> EndSaid:
    """An end for which no place was named, put on the outside of its part where that is nearest to the other end.

    A part's own origin lies inside it, and no run leads there. Turned parts, and parts that hold the other end, are
    left as they are.
    """
    from planner.cli.new_spot import box_of

    part, far = end.written, other.written.partition(".")[0]
    components = _vehicle(sheet).components
    if "." in part or far == part or any(components[part].pose.turn_deg):
        return end
    low, high = box_of(sheet, part)
    goal = _point_of(sheet, other)
    x, y, z = (min(max(g, a), b) for g, a, b in zip(goal, low, high, strict=True))
    if (x, y, z) == goal:
        return end
    port = _free_port(f"by-{far}", components[part].ports_mm)
    return replace(end, written=f"{part}.{port}", new=(port_at(sheet, part, port, (x, y, z), beside),))


def _free_port(wanted: str, taken: dict[str, Vec]) -> str:
    names = (wanted, *(f"{wanted}-{n}" for n in range(2, len(taken) + 3)))
    return next(name for name in names if name not in taken)


def _point_of(sheet: Sheet, end: EndSaid) -> Vec:
    """Where an end is in vehicle axes [mm]; the middle of its part where it has no port."""
    from planner.cli.new_spot import box_of
    from planner.space import port_mm

    part, _, port = end.written.partition(".")
    component = _vehicle(sheet).components[part]
    if port in component.ports_mm:
        return port_mm(component, port)
    for entry in end.new:
        value = entry.put.value
        at = value.get(port) if isinstance(value, dict) else value
        if isinstance(at, list):
            return _there(sheet, component.pose.at_mm, at)
    low, high = box_of(sheet, part)
    x, y, z = ((a + b) / 2 for a, b in zip(low, high, strict=True))
    return (x, y, z)


def _there(sheet: Sheet, origin_mm: Vec, at: list[Plain]) -> Vec:
    """A place that is written in the file's unit, in vehicle axes [mm]."""
    from planner.units import MM_PER_INCH

    unit = MM_PER_INCH if sheet.bare == "inch" else 1.0
    x, y, z = (a + float(str(b)) * unit for a, b in zip(origin_mm, at, strict=True))
    return (x, y, z)


def _vehicle(sheet: Sheet) -> Vehicle:
    if sheet.vehicle is None:
        raise AssertionError("a link is made in a vehicle")
    return sheet.vehicle
