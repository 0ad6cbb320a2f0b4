"""A part or a hole to scale in three views, with its overall sizes, its joins and a scale bar, as SVG text."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from html import escape

from planner.export.plan_words import one_line
from planner.model.shapes import Pose, Solid, Vec
from planner.space import Body, Elevation, Polygon, silhouette, solid_body
from planner.units import MM_PER_INCH, format_length

_WIDE_MM, _HIGH_MM = 172.0, 96.0
_GAP_MM, _EDGE_MM, _TOP_MM, _FOOT_MM = 20.0, 18.0, 9.0, 17.0
_LETTER_MM = 2.0
"""Room along a line for one letter of a size."""
_TITLE_MM = 26.0
"""Room for the name of a view."""
_SCALES = (0.5, 1.0, 2.0, 2.5, 4.0, 5.0, 7.5, 10.0, 15.0, 20.0, 25.0, 40.0, 50.0, 100.0)
"""Millimetres of the part to one of paper, round ones."""
_BARS_MM = (1000.0, 500.0, 200.0, 100.0, 50.0, 20.0, 10.0, 5.0)
_BARS_IN = (40.0, 20.0, 10.0, 5.0, 2.0, 1.0, 0.5, 0.25)
_BAR_WIDEST_MM = 60.0
_NAMES = {Elevation.SIDE: "from the right", Elevation.PLAN: "from above", Elevation.FRONT: "from ahead"}


@dataclass(frozen=True, slots=True, kw_only=True)
class _Frame:
    """Where a view stands on the paper: ``low`` and ``high`` are its corners in its own plane [mm]."""

    view: Elevation
    left: float
    top: float
    low: tuple[float, float]
    high: tuple[float, float]
    scale: float

    @property
    def size(self) -> tuple[float, float]:
        return (self.high[0] - self.low[0]) / self.scale, (self.high[1] - self.low[1]) / self.scale

    def at(self, point: tuple[float, float]) -> tuple[float, float]:
        return self.left + (point[0] - self.low[0]) / self.scale, self.top + (self.high[1] - point[1]) / self.scale


def views_of(name: str, solids: Sequence[Solid], ports_mm: Mapping[str, Vec], units: str) -> str:
    """Three views of solids in their own frame.

    Parameters
    ----------
    name : str
        What it is, for readers who do not see the picture.
    solids : sequence of Solid
    ports_mm : mapping of letter to place
        Joins, marked by a cross and their letter.
    units : {"mm", "inch"}
    """
    body = solid_body(solids, Pose())
    sizes: Vec = tuple(h - low for low, h in zip(body.lo_mm, body.hi_mm, strict=True))  # type: ignore[assignment]
    scale = _scale(sizes)
    frames = _frames(body, sizes, scale)
    high = max(f.top + f.size[1] for f in frames) + _FOOT_MM
    words = _words(f"{name} to scale from the right, from ahead and from above: {_size_words(sizes, units)}")
    box = f'width="{_WIDE_MM:g}mm" height="{high:.2f}mm" viewBox="0 0 {_WIDE_MM:g} {high:.2f}"'
    parts = [f'<svg class="views" {box} role="img" aria-label="{words}">']
    for frame in frames:
        parts += _view(frame, silhouette(body, frame.view), ports_mm, sizes, units)
    parts += [_bar(scale, high, units), "</svg>"]
    return "".join(parts)


def _size_words(sizes: Vec, units: str) -> str:
    return " x ".join(format_length(s, units) for s in sizes)


def _scale(sizes: Vec) -> float:
    long, wide, high = sizes
    for scale in _SCALES:
        across = max(long / scale, _TITLE_MM) + wide / scale + _GAP_MM + 2 * _EDGE_MM
        down = (high + wide) / scale + _GAP_MM + _TOP_MM + _FOOT_MM
        if across <= _WIDE_MM and down <= _HIGH_MM:
            return scale
    return _SCALES[-1]


def _frames(body: Body, sizes: Vec, scale: float) -> tuple[_Frame, ...]:
    """From the right and from ahead beside each other, from above below the first."""
    left, top = _EDGE_MM, _TOP_MM
    spots = {
        Elevation.SIDE: (left, top),
        Elevation.FRONT: (left + max(sizes[0] / scale, _TITLE_MM) + _GAP_MM, top),
        Elevation.PLAN: (left, top + sizes[2] / scale + _GAP_MM),
    }
    found = []
    for view, (x, y) in spots.items():
        a, b = view.flat(body.lo_mm), view.flat(body.hi_mm)
        low, high = (min(a[0], b[0]), min(a[1], b[1])), (max(a[0], b[0]), max(a[1], b[1]))
        found.append(_Frame(view=view, left=x, top=y, low=low, high=high, scale=scale))
    return tuple(found)


def _view(frame: _Frame, rims: Sequence[Polygon], ports_mm: Mapping[str, Vec], sizes: Vec, units: str) -> list[str]:
    x, y, (wide, high) = frame.left, frame.top, frame.size
    outline = "".join("M" + "L".join(_pair(frame.at(p)) for p in rim) + "Z" for rim in rims)
    parts = [
        f'<text x="{x:.2f}" y="{y - 3:.2f}" class="vt">{_NAMES[frame.view]}</text>',
        f'<path class="vo" fill-rule="evenodd" d="{outline}"/>',
    ]
    for letter, place in ports_mm.items():
        px, py = frame.at(frame.view.flat(place))
        parts.append(f'<path class="vp" d="M{px - 1.5:.2f} {py:.2f}h3M{px:.2f} {py - 1.5:.2f}v3"/>')
        parts.append(f'<text x="{px + 1.2:.2f}" y="{py - 1:.2f}" class="vl">{_words(letter)}</text>')
    along = {Elevation.SIDE: sizes[0], Elevation.PLAN: sizes[0], Elevation.FRONT: sizes[1]}[frame.view]
    up = sizes[1] if frame.view is Elevation.PLAN else sizes[2]
    parts.append(_across(x, y + high + 4.0, wide, format_length(along, units)))
    parts.append(_upright(x - 4.0, y, high, format_length(up, units)))
    return parts


def _across(x: float, y: float, wide: float, text: str) -> str:
    return (
        f'<path class="vd" d="M{x:.2f} {y - 1.5:.2f}v3M{x:.2f} {y:.2f}h{wide:.2f}m0 -1.5v3"/>'
        f'<text x="{x + wide / 2:.2f}" y="{y + 4:.2f}" text-anchor="middle">{text}</text>'
    )


def _upright(x: float, y: float, high: float, text: str) -> str:
    """A height with its text along it, or beside it where it is too low for that."""
    middle = y + high / 2
    line = f'<path class="vd" d="M{x - 1.5:.2f} {y:.2f}h3M{x:.2f} {y:.2f}v{high:.2f}m-1.5 0h3"/>'
    if high < _LETTER_MM * len(text):
        return f'{line}<text x="{x - 2.2:.2f}" y="{middle + 1.1:.2f}" text-anchor="end">{text}</text>'
    return (
        f'{line}<text x="{x - 1.5:.2f}" y="{middle:.2f}" text-anchor="middle" '
        f'transform="rotate(-90 {x - 1.5:.2f} {middle:.2f})">{text}</text>'
    )


def _bar(scale: float, high: float, units: str) -> str:
    """A scale bar of a round length in the owner's units."""
    lengths = [b * MM_PER_INCH for b in _BARS_IN] if units == "inch" else list(_BARS_MM)
    length = next((b for b in lengths if b / scale <= _BAR_WIDEST_MM), lengths[-1])
    y, told = high - 4.0, format_length(length, units)
    ratio = f"1 : {scale:g}" if scale >= 1.0 else f"{1 / scale:g} : 1"
    return (
        f'<path class="vb" d="M{_EDGE_MM:g} {y - 1.5:.2f}v3M{_EDGE_MM:g} {y:.2f}h{length / scale:.2f}m0 -1.5v3"/>'
        f'<text x="{_EDGE_MM + length / scale + 3:.2f}" y="{y + 1.2:.2f}">{told}, '
        f"{ratio} where the page is printed at full size</text>"
    )


def _pair(point: tuple[float, float]) -> str:
    return f"{point[0]:.2f} {point[1]:.2f}"


def _words(text: str) -> str:
    return escape(one_line(text), quote=True)
