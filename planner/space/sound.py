"""Solids whose numbers can be of no solid are refused by name; thin, tiny and far ones are measured like any other."""

from __future__ import annotations

from collections.abc import Iterable

from planner.model.shapes import Box, Cylinder, Outline, Solid, Tube

FARTHEST_MM = 1e8
"""Sizes and places beyond this are no millimetres of a vehicle, and would cost the exactness of 0.01 mm."""


def refuse_unsound(solid: Solid) -> None:
    """Let a solid pass whose sizes and places are numbers and whose sizes are not below zero.

    Raises
    ------
    ValueError
        When they are not; the message says which solid, which number and what it may be.

    """
    sizes = _sizes(solid)
    if min(sizes, default=0.0) < 0.0:
        raise ValueError(f"{_name(solid)}: a size below zero is no size")
    if isinstance(solid, Tube) and not solid.through_mm:
        raise ValueError(f"{_name(solid)}: it needs one point at least")
    for number in (*sizes, *_places(solid), *solid.pose.at_mm, *solid.pose.turn_deg):
        # written so that "not a number" fails too
        if not abs(number) <= FARTHEST_MM:
            raise ValueError(f"{_name(solid)}: {number:g} is not a number up to {FARTHEST_MM:g} mm")


def _sizes(solid: Solid) -> tuple[float, ...]:
    if isinstance(solid, Box):
        return solid.size_mm
    if isinstance(solid, Cylinder):
        return (solid.across_mm, solid.length_mm)
    if isinstance(solid, Tube):
        return (solid.across_mm,)
    return (solid.thick_mm,) if isinstance(solid, Outline) else ()


def _places(solid: Solid) -> Iterable[float]:
    if isinstance(solid, Tube):
        return (number for point in solid.through_mm for number in point)
    return (number for point in solid.points_mm for number in point) if isinstance(solid, Outline) else ()


def _name(solid: Solid) -> str:
    """Say which solid, by its kind and sizes: "box 40 x 60 x 12 mm"."""
    sizes = " x ".join(f"{size:g}" for size in _sizes(solid))
    return f"{type(solid).__name__.lower()} {sizes} mm" if sizes else type(solid).__name__.lower()
