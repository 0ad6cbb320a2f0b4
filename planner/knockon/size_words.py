"""What to hold the tape to: a size of a part in words."""

from __future__ import annotations

from planner.model.sizes import TapeSize
from planner.model.vehicle import Component
from planner.space import extent_mm

_FACES = (("front face", "rear face"), ("left side", "right side"), ("underside", "top"))
_PLANES = ("behind the zero plane of x", "right of the zero plane of y", "above the zero plane of z")
_MINUS = ("ahead of it", "left of it", "below it")
_LENGTHS = {"x": "length (fore and aft)", "y": "width", "z": "height"}
_SIZES = {"across": "diameter", "length": "length along its axis", "thick": "thickness"}
_SHEET_MM = 6.0
"""A block thinner than this is a sheet."""
_NEAR_MM = 1.0
"""An origin this near to a face is measured from that face."""


def size_words(size: TapeSize, part: Component) -> str:
    """A size in words, from what to what: "underside of header tank above the zero plane of z"."""
    way = size.name.removeprefix(f"{size.part}.").split(".")
    if way[0] == "at":
        axis = "xyz".index(way[1])
        minus = f" ({_MINUS[axis]} is minus)" if size.mm < 0.0 else ""
        return f"{_spot(part, axis)} of {part.name} {_PLANES[axis]}{minus}"
    which = ""
    if way[0] == "solids":
        which, way = f" (solid {way[1]})", way[2:]
    return f"{_measure(way, size, part)} of {part.name}{which}"


def _spot(part: Component, axis: int) -> str:
    """The face, or the middle, that the origin of the part lies in along an axis."""
    low, high = extent_mm(part.solids, part.pose)
    at = part.pose.at_mm[axis]
    for place, name in ((low[axis], _FACES[axis][0]), (high[axis], _FACES[axis][1])):
        if abs(place - at) <= _NEAR_MM:
            return name
    middle = (low[axis] + high[axis]) / 2
    return "middle" if abs(middle - at) <= _NEAR_MM else "origin (`at`)"


def _measure(way: list[str], size: TapeSize, part: Component) -> str:
    match way:
        case ["box", axis]:
            words = _box_side(axis, size, part)
        case ["tube", "through", point, axis]:
            words = f"{axis} of point {point} of the line"
        case ["outline", "points", corner, which]:
            words = f"{'first' if which == '1' else 'second'} coordinate of corner {corner}"
        case ["at", axis]:
            words = f"place along its own {axis}"
        case [_, key] if key in _SIZES:
            words = _SIZES[key]
        case _:
            words = " ".join(way)
    return words


def _box_side(axis: str, size: TapeSize, part: Component) -> str:
    if size.mm < _SHEET_MM:
        return "thickness"
    frames = [part.pose, *(s.pose for s in part.solids)]
    turned = any(frame.turn_deg != (0.0, 0.0, 0.0) for frame in frames)
    return f"size along its own {axis}" if turned else _LENGTHS[axis]
