"""A part that is back from being made larger: is it planned as it was measured."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from planner.model.job import Grow
from planner.model.shapes import Solid

_AXES = "xyz"
_EXACT_MM = 0.01
_PLACES = {"x": ("size_mm", 0), "y": ("size_mm", 1), "z": ("size_mm", 2)}
_NAMES = {"across": "across_mm", "length": "length_mm", "thick": "thick_mm"}


def altered_faults(part: str, grow: Grow, solids: Sequence[Solid]) -> Iterator[str]:
    """Give a sentence for each size that was measured on the altered part and is planned otherwise."""
    for size in grow.altered:
        there = _read(solids[size.solid], size.size) if size.solid < len(solids) else None
        if there is None or abs(there - size.mm) > _EXACT_MM:
            yield f"`{part}` was measured as {size.mm:g} mm ({size.size}) when it was back, and is planned as {there}"


def taped_axes(grow: Grow, solids: Sequence[Solid]) -> frozenset[int]:
    """Give the axes of the part along which a measured size, and no more the growth asked for, says how large it is."""
    found: set[int] = set()
    for size in grow.altered:
        solid = solids[size.solid]
        along = getattr(solid, "along", None)
        if any(solid.pose.turn_deg) or (along is None and size.size not in _PLACES):
            found |= {0, 1, 2}
        elif size.size in _PLACES:
            found.add(_PLACES[size.size][1])
        else:
            lengthwise = _AXES.index(str(along))
            found |= {0, 1, 2} - {lengthwise} if size.size == "across" else {lengthwise}
    return frozenset(found)


def _read(solid: Solid, name: str) -> float | None:
    if name in _PLACES:
        key, number = _PLACES[name]
        sizes = getattr(solid, key, None)
        return None if sizes is None else float(sizes[number])
    value = getattr(solid, _NAMES.get(name, ""), None)
    return None if value is None else float(value)
