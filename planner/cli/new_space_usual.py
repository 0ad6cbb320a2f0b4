"""Where a mounting space is when its owner says nothing: before or behind a wall, above anything else."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from planner.cli.new_spot import box_of

if TYPE_CHECKING:
    from planner.cli.new_sheet import Sheet
    from planner.model.shapes import Vec

LEAST_MM = 200.0
"""How large the space that is offered is at least, along each way (starting guess)."""
DEEP_MM = 150.0
"""How deep the space beside a wall is: room for a fuse box or a small tank (starting guess)."""
_THIN = 0.25
"""A part that is this thin along x or y, as a share of its lesser other side, is a wall (starting guess)."""
_FACES = (("front", "rear"), ("left", "right"))


@dataclass(frozen=True, slots=True, kw_only=True)
class UsualSpace:
    """Size and place as they would be typed."""

    size: str
    at: str


def usual_space(sheet: Sheet, on: str) -> UsualSpace:
    """The space that is offered on a part: beside a wall on the side with fewer parts in it, else on top."""
    low, high = box_of(sheet, on)
    sizes = [b - a for a, b in zip(low, high, strict=True)]
    walls = [axis for axis in (0, 1) if sizes[axis] <= _THIN * min(s for a, s in enumerate(sizes) if a != axis)]
    return _beside(sheet, on, walls[0]) if walls else _on_top(sheet, low, high)


def _on_top(sheet: Sheet, low: Vec, high: Vec) -> UsualSpace:
    least_mm = _whole(sheet, LEAST_MM)
    sizes = [max(b - a, least_mm) for a, b in zip(low, high, strict=True)]
    sizes[2] = least_mm
    return _typed(sheet, sizes, "bottom", [(low[0] + high[0]) / 2, (low[1] + high[1]) / 2, high[2]])


def _beside(sheet: Sheet, on: str, axis: int) -> UsualSpace:
    low, high = box_of(sheet, on)
    sizes = [b - a for a, b in zip(low, high, strict=True)]
    deep_mm = sizes[axis] = _whole(sheet, DEEP_MM)
    middle = [(a + b) / 2 for a, b in zip(low, high, strict=True)]
    found: list[tuple[bool, int, str, list[float]]] = []
    for way, at in ((-1, low[axis]), (1, high[axis])):
        centre = [*middle]
        centre[axis] = at + way * deep_mm / 2
        place = [*middle]
        place[axis] = at
        # The box's own face that is at the wall is the one opposite to where it lies.
        found.append(
            (_outside(sheet, axis, at + way * deep_mm), _met(sheet, on, centre, sizes), _FACES[axis][way < 0], place)
        )
    _, _, face, place = min(found, key=lambda f: f[:2])
    return _typed(sheet, sizes, face, place)


def _whole(sheet: Sheet, mm: float) -> float:
    """A length [mm] that is a whole number of the file's units."""
    from planner.units import MM_PER_INCH

    return round(mm / MM_PER_INCH) * MM_PER_INCH if sheet.bare == "inch" else mm


def _outside(sheet: Sheet, axis: int, at_mm: float) -> bool:
    return sheet.limits_mm is not None and not sheet.limits_mm[0][axis] <= at_mm <= sheet.limits_mm[1][axis]


def _met(sheet: Sheet, on: str, centre_mm: list[float], size_mm: list[float]) -> int:
    """How many parts stand in a box."""
    count = 0
    for part in sheet.parts():
        low, high = box_of(sheet, part)
        apart = (
            max(a - (c + s / 2), (c - s / 2) - b) >= 0 for a, b, c, s in zip(low, high, centre_mm, size_mm, strict=True)
        )
        count += part != on and not any(apart)
    return count


def _typed(sheet: Sheet, size_mm: list[float], face: str, at_mm: list[float]) -> UsualSpace:
    from planner.shelf.tape import in_units

    size, at = ([str(in_units(mm, sheet.bare)) for mm in three] for three in (size_mm, at_mm))
    return UsualSpace(size=" x ".join(size), at=f"{face} {', '.join(at)}")
