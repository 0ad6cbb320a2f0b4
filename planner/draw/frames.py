"""The frame of a view: vehicle millimetres onto the paper, and the grid behind the vehicle."""

from __future__ import annotations

from dataclasses import dataclass

from planner.draw.clip import Flat, Rect, cut_outline, cut_run
from planner.draw.lettering import text_width_mm
from planner.draw.scene import Form, Thing
from planner.draw.sheet import TEXT_MM, Line, Point
from planner.model.shapes import Vec
from planner.space import Elevation, Polygon
from planner.units import MM_PER_INCH, format_length

PAD_LEFT, PAD_RIGHT, PAD_TOP, PAD_BOTTOM = 7.0, 1.5, 1.5, 5.0
"""Room between the vehicle and the edge of its frame, for the words on the grid [mm]."""
_CUT_PAD_LEFT = 14.5
"""The same on the left of a window, where every line of the grid is named."""
_STEPS = {
    "mm": (0.5, 1, 2, 5, 10, 20, 50, 100, 200, 500, 1000, 2000, 5000),
    "inch": (0.03125, 0.0625, 0.125, 0.25, 0.5, 1, 2, 4, 10, 20, 40, 80, 200),
}
_MM = {"mm": 1.0, "inch": MM_PER_INCH}
_GRID_APART_MM, _CUT_GRID_APART_MM = 18.0, 14.0
_BAR_FIELD_MM, _BAR_FIELDS, _BAR_TEXT_APART_MM = 12.5, 4, 1.5
_NAMES_APART_MM = 4.0
_AXIS_NAMES = "xyz"
_GROUND, _ZERO_NAME_MM = "ground", 4.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Extent:
    """The box that the views of one state frame (vehicle axes).

    With ``cut`` it is a window: only what comes into it is drawn, and cut at its edges. Without, it holds the whole
    vehicle, from the ground up.
    """

    low: Vec
    high: Vec
    ground_mm: float
    cut: bool = False

    def size_mm(self, view: Elevation) -> tuple[float, float]:
        """Width and height in an elevation [mm]."""
        (u0, v0), (u1, v1) = self.rect_mm(view)
        return u1 - u0, v1 - v0

    def rect_mm(self, view: Elevation) -> Rect:
        """Least and greatest corner in the plane of an elevation [mm]."""
        (u0, v0), (u1, v1) = view.flat(self.low), view.flat(self.high)
        return (min(u0, u1), min(v0, v1)), (max(u0, u1), max(v0, v1))

    def holds(self, point_mm: Vec) -> bool:
        """Whether a point (vehicle axes) lies in the box, to a thousandth of a millimetre."""
        return all(a - _SPARE_MM <= p <= b + _SPARE_MM for a, p, b in zip(self.low, point_mm, self.high, strict=True))


_SPARE_MM = 1e-3


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
    def pad_left(self) -> float:
        """Room left of the vehicle for the words on the grid [mm]."""
        return _CUT_PAD_LEFT if self.extent.cut else PAD_LEFT

    @property
    def size(self) -> tuple[float, float]:
        """Width and height on the paper [mm]."""
        wide, high = self.extent.size_mm(self.view)
        return wide / self.scale + self.pad_left + PAD_RIGHT, high / self.scale + PAD_TOP + PAD_BOTTOM

    @property
    def right(self) -> float:
        """Right edge [mm]."""
        return self.corner[0] + self.size[0]

    @property
    def bottom(self) -> float:
        """Lower edge [mm]."""
        return self.corner[1] + self.size[1]

    @property
    def inner(self) -> tuple[Point, Point]:
        """Upper left and lower right corner of what is framed, on the paper."""
        (u0, v0), (u1, v1) = self.extent.rect_mm(self.view)
        return self.at((u0, v1)), self.at((u1, v0))

    def at(self, flat_mm: Flat) -> Point:
        """Place on the paper of a point in the plane of the elevation (right, up) [mm]."""
        (u0, _), (_, v1) = self.extent.rect_mm(self.view)
        return (
            self.corner[0] + self.pad_left + (flat_mm[0] - u0) / self.scale,
            self.corner[1] + PAD_TOP + (v1 - flat_mm[1]) / self.scale,
        )

    def shows(self, form: Form) -> bool:
        """Whether any of a form is to be drawn in this view."""
        return not self.extent.cut or form.meets(self.extent.low, self.extent.high)

    def seen(self, form: Form) -> tuple[Polygon, ...]:
        """What of a form lies within the frame, in the plane of the elevation [mm]."""
        outline = form.outline(self.view)
        if not self.extent.cut:
            return outline
        if not self.shows(form):
            return ()
        rect = self.extent.rect_mm(self.view)
        return cut_run(outline[0], rect) if form.is_run else cut_outline(outline, rect)


def grid_of(frame: Frame, units: str) -> tuple[Line, ...]:
    """Light lines at even steps from the zero planes, then the zero planes and the ground with their names.

    In a window every line has its name: the zero planes are as a rule not in it.
    """
    step = _step_mm(units, frame.scale * (_CUT_GRID_APART_MM if frame.extent.cut else _GRID_APART_MM))
    low, high, ground = frame.extent.low, frame.extent.high, frame.extent.ground_mm
    axes = [axis for axis in range(3) if frame.view.nearward[axis] == 0.0]
    plain = [
        _line(frame, axis, k * step, _name(frame, axis, k * step, units))
        for axis in axes
        for k in range(int(low[axis] // step) + 1, int(high[axis] // step) + 1)
        if k
    ]
    zero = [
        _line(frame, axis, 0.0, f"{_AXIS_NAMES[axis]} 0", zero=True) for axis in axes if low[axis] <= 0.0 <= high[axis]
    ]
    lowest = [_line(frame, 2, ground, _GROUND, zero=True)] if 2 in axes and low[2] <= ground <= high[2] else []  # noqa: PLR2004  # axis z
    return (*plain, *zero, *lowest)


def _name(frame: Frame, axis: int, value_mm: float, units: str) -> str:
    if not frame.extent.cut:
        return ""
    ground = frame.extent.ground_mm
    if _AXIS_NAMES[axis] == "z" and 0.0 < abs(value_mm - ground) / frame.scale < _NAMES_APART_MM:
        return ""
    return f"{_AXIS_NAMES[axis]} {format_length(value_mm, units).rpartition(' ')[0]}"


def _line(frame: Frame, axis: int, value_mm: float, text: str = "", *, zero: bool = False) -> Line:
    """The plane in which a coordinate has one value, seen edge on."""
    point = [0.0, 0.0, 0.0]
    point[axis] = value_mm
    x, y = frame.at(frame.view.flat((point[0], point[1], point[2])))
    cut = frame.extent.cut
    (left, top), (right, low) = frame.inner
    if frame.view.rightward[axis] != 0.0:
        start, finish = (x, top if cut else frame.corner[1]), (x, low)
        text_at = (x - text_width_mm(text) / 2.0 if cut else x - 2.4, frame.bottom - 1.2)
    else:
        start, finish = (left, y), (right if cut else frame.right, y)
        text_at = (frame.corner[0] + 0.6, y + TEXT_MM * 0.35)
        if text == _GROUND and not cut:
            # Below its line, unless the name of a zero plane stands there.
            zero_x = frame.at(frame.view.flat((0.0, 0.0, 0.0)))[0]
            taken = left - _ZERO_NAME_MM <= zero_x <= left + text_width_mm(text) + _ZERO_NAME_MM
            text_at = (left, y - 1.0 if taken else y + 3.8)
    return Line(start=start, finish=finish, zero=zero, text=text, text_at=text_at)


def _step_mm(units: str, least_mm: float) -> float:
    steps = _steps_mm(units)
    return next((s for s in steps if s >= least_mm), steps[-1])


def _steps_mm(units: str) -> list[float]:
    known = "inch" if units == "inch" else "mm"
    return [n * _MM[known] for n in _STEPS[known]]


def bar_texts(units: str, scale: float) -> tuple[float, tuple[str, ...]]:
    """Field of the scale bar on the paper [mm], and what to write at the ends of its fields."""
    for step in _steps_mm(units):
        lengths = tuple(format_length(k * step, units) for k in range(_BAR_FIELDS + 1))
        words = max(text_width_mm(text) for text in lengths)
        if step / scale >= max(_BAR_FIELD_MM, words + _BAR_TEXT_APART_MM):
            break
    return step / scale, ("0", *lengths[1:])
