"""The frame of a view: vehicle millimetres onto the paper, and the grid behind the vehicle."""

from __future__ import annotations

from dataclasses import dataclass

from planner.draw.scene import Thing
from planner.draw.sheet import TEXT_MM, Line, Point
from planner.model.shapes import Vec
from planner.space import Elevation
from planner.units import format_length

PAD_LEFT, PAD_RIGHT, PAD_TOP, PAD_BOTTOM = 7.0, 1.5, 1.5, 5.0
"""Room between the vehicle and the edge of its frame, for the words on the grid [mm]."""
_STEPS_MM = {"mm": (50, 100, 200, 500, 1000, 2000, 5000), "inch": (2, 4, 10, 20, 40, 80, 200)}
_MM = {"mm": 1.0, "inch": 25.4}
_GRID_APART_MM = 18.0
_BAR_FIELDS = 4
_AXIS_NAMES = "xyz"


@dataclass(frozen=True, slots=True, kw_only=True)
class Extent:
    """The box that all views frame (vehicle axes), from the ground up."""

    low: Vec
    high: Vec
    ground_mm: float

    def size_mm(self, view: Elevation) -> tuple[float, float]:
        """Width and height in an elevation [mm]."""
        (u0, v0), (u1, v1) = view.flat(self.low), view.flat(self.high)
        return abs(u1 - u0), abs(v1 - v0)


def extent_of(things: tuple[Thing, ...], ground_mm: float) -> Extent:
    """The box round all things in all their places, down to the ground."""
    corners = [c for thing in things for form in thing.forms for c in form.corners_mm] or [(0.0, 0.0, ground_mm)]
    xs, ys, zs = zip(*corners, strict=True)
    return Extent(
        low=(min(xs), min(ys), min(*zs, ground_mm)), high=(max(xs), max(ys), max(*zs, ground_mm)), ground_mm=ground_mm
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Frame:
    """One view on the paper. ``corner`` is its top left; the vehicle lies within the pads."""

    view: Elevation
    extent: Extent
    scale: float
    corner: Point

    @property
    def size(self) -> tuple[float, float]:
        """Width and height on the paper [mm]."""
        wide, high = self.extent.size_mm(self.view)
        return wide / self.scale + PAD_LEFT + PAD_RIGHT, high / self.scale + PAD_TOP + PAD_BOTTOM

    @property
    def right(self) -> float:
        """Right edge [mm]."""
        return self.corner[0] + self.size[0]

    @property
    def bottom(self) -> float:
        """Lower edge [mm]."""
        return self.corner[1] + self.size[1]

    def at(self, flat_mm: tuple[float, float]) -> Point:
        """Place on the paper of a point in the plane of the elevation (right, up) [mm]."""
        (u0, v0), (u1, v1) = self.view.flat(self.extent.low), self.view.flat(self.extent.high)
        return (
            self.corner[0] + PAD_LEFT + (flat_mm[0] - min(u0, u1)) / self.scale,
            self.corner[1] + PAD_TOP + (max(v0, v1) - flat_mm[1]) / self.scale,
        )


def grid_of(frame: Frame, units: str) -> tuple[Line, ...]:
    """Light lines at even steps from the zero planes, then the zero planes and the ground with their names."""
    step = _nice_mm(units, frame.scale * _GRID_APART_MM)
    plain = [
        _line(frame, axis, k * step)
        for axis in range(3)
        if _is_seen(frame, axis)
        for k in range(int(frame.extent.low[axis] // step) + 1, int(frame.extent.high[axis] // step) + 1)
        if k
    ]
    zero = [_line(frame, axis, 0.0, f"{_AXIS_NAMES[axis]} 0") for axis in range(3)
            if _is_seen(frame, axis) and frame.extent.low[axis] <= 0.0 <= frame.extent.high[axis]]  # fmt: skip
    ground = [_line(frame, 2, frame.extent.ground_mm, "ground")] if _is_seen(frame, 2) else []
    return (*plain, *zero, *ground)


def _is_seen(frame: Frame, axis: int) -> bool:
    return frame.view.nearward[axis] == 0.0


def _line(frame: Frame, axis: int, value_mm: float, text: str = "") -> Line:
    """The plane in which a coordinate has one value, seen edge on."""
    point = [0.0, 0.0, 0.0]
    point[axis] = value_mm
    x, y = frame.at(frame.view.flat((point[0], point[1], point[2])))
    if frame.view.rightward[axis] != 0.0:
        start, finish = (x, frame.corner[1]), (x, frame.bottom - PAD_BOTTOM)
        text_at = (x - 2.4, frame.bottom - 1.2)
    else:
        start, finish = (frame.corner[0] + PAD_LEFT, y), (frame.right, y)
        below = text == "ground"
        text_at = (frame.corner[0] + PAD_LEFT, y + 3.8) if below else (frame.corner[0] + 0.6, y + TEXT_MM * 0.35)
    return Line(start=start, finish=finish, zero=bool(text), text=text, text_at=text_at)


def _nice_mm(units: str, least_mm: float) -> float:
    known = "inch" if units == "inch" else "mm"
    steps = [n * _MM[known] for n in _STEPS_MM[known]]
    return next((s for s in steps if s >= least_mm), steps[-1])


def bar_texts(units: str, scale: float) -> tuple[float, tuple[str, ...]]:
    """Field of the scale bar on the paper [mm], and what to write at the ends of its fields."""
    field = _nice_mm(units, scale * _BAR_FIELD_MM)
    lengths = tuple(format_length(k * field, units) for k in range(_BAR_FIELDS + 1))
    return field / scale, ("0", *lengths[1:])


_BAR_FIELD_MM = 12.5
