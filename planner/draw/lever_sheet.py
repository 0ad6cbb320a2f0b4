"""A lever through its travel, to scale, as one SVG sheet: three positions, the pad's arc, rod and axis."""

from __future__ import annotations

import math
from collections.abc import Sequence
from html import escape

from planner.draw.lettering import cut_to_fit, text_width_mm
from planner.draw.svg import own_rules
from planner.sums.lever import Lever, LeverState, Point, state_at
from planner.sums.lever_slot import Sheet as Metal
from planner.sums.lever_slot import Slot

_SIDEWAYS_MM = (297.0, 210.0)
_MARGIN_MM, _TITLE_MM = 12.0, 5.0
_HEAD_MM, _FOOT_MM, _BARE_FOOT_MM = 16.0, 30.0, 8.0
"""Room for the title, and for the legend with figures and without."""
_SCALES = (1.0, 2.0, 2.5, 3.0, 4.0, 5.0, 6.0, 7.5, 10.0, 15.0, 20.0)
_BAR_MM = (10.0, 20.0, 50.0, 100.0, 200.0, 500.0)
_BAR_SHARE, _LEGEND_SHARE = 0.2, 0.21
"""Of the sheet's width: the scale bar at most, and a line of the legend with its words."""
_BAR_UP_MM = 5.0
"""From the legend up to the scale bar."""
_ARC_STEPS = 48
_STYLE = (
    "text{font:3.4px sans-serif;fill:#000}.t{font-size:5px;font-weight:bold}"
    ".a{stroke:#000;stroke-width:1.6;fill:none;stroke-linecap:round;stroke-linejoin:round}"
    ".b{stroke:#555;stroke-width:.7;fill:none;stroke-dasharray:3 1.4;stroke-linecap:round}"
    ".c{stroke:#000;stroke-width:1;fill:none;stroke-dasharray:.4 1.6;stroke-linecap:round}"
    ".x{stroke:#444;stroke-width:.25;fill:none;stroke-dasharray:6 1.5 1 1.5}"
    ".p{stroke:#0072B2;stroke-width:.5;fill:none}.m{stroke:#D55E00;stroke-width:.9;fill:none}"
    ".d{fill:#fff;stroke:#000;stroke-width:.4}"
)
_LINES = (("a", "at rest"), ("b", "half way"), ("c", "at the end of its travel"))


def lever_svg(
    title: str,
    lever: Lever,
    lines: Sequence[str],
    cut: tuple[Slot, Metal] | None = None,
    *,
    name: str = "lever",
    size_mm: tuple[float, float] = _SIDEWAYS_MM,
) -> str:
    """Draw a lever.

    Parameters
    ----------
    title : str
    lever : Lever
        Seen from the right-hand side: forward is left, up is up.
    lines : sequence of str
        Figures to print below the drawing, the most telling first; as many as there is room for.
    cut : (Slot, Sheet), optional
        A slot, drawn as the metal left on both sides of it.
    name : str
        Id of the drawing, of letters, digits and hyphens: no two in one page may have the same.
    size_mm : tuple of float
        Width and height of the sheet [mm]: A4 on its side, or less.

    Raises
    ------
    LeverError
        The rod does not reach somewhere in the travel.
    """
    shown = [state_at(lever, lever.travel_deg * part) for part in (0.0, 0.5, 1.0)]
    wide, high = size_mm
    foot = high - (_FOOT_MM if lines else _BARE_FOOT_MM)
    scale, place = _placing(_outline(lever, shown, cut), (wide, foot))
    out = [
        (
            f'<svg xmlns="http://www.w3.org/2000/svg" id="{name}" width="{wide:g}mm" height="{high:g}mm"'
            f' viewBox="0 0 {wide:g} {high:g}" role="img" aria-label="{escape(title)}">'
        ),
        f"<title>{escape(title)}</title><style>{own_rules(_STYLE, name)}</style>",
        f'<rect width="{wide:g}" height="{high:g}" fill="#fff"/>',
        f'<text class="t" x="{_MARGIN_MM:g}" y="{_MARGIN_MM:g}">{escape(_head(title, scale, wide))}</text>',
        _axis(lever, shown, place),
        _arc(lever, place),
    ]
    if cut is not None:
        out.append(_metal(*cut, place))
    for (style, _), state in zip(reversed(_LINES), reversed(shown), strict=True):
        out.append(_position(lever, state, style, place))
    out += [_legend(wide, foot), _bar(scale, wide, foot - _BAR_UP_MM), *_figures(lines, high), "</svg>\n"]
    return "\n".join(out)


def _head(title: str, scale: float, wide: float) -> str:
    """Title and scale; a title too long for the sheet is cut, the scale never."""
    end = f", {_scale_words(scale)}"
    return cut_to_fit(title, wide - 2.0 * _MARGIN_MM - text_width_mm(end, _TITLE_MM), _TITLE_MM) + end


class _Place:
    """Puts a point of the lever's plane on the paper [mm]."""

    def __init__(self, scale: float, low: Point, high: Point, room: Point) -> None:
        self.scale = scale
        self.left = _MARGIN_MM + (room[0] - (high[0] - low[0]) / scale) / 2.0 - low[0] / scale
        self.top = _HEAD_MM + (room[1] - (high[1] - low[1]) / scale) / 2.0 + high[1] / scale

    def __call__(self, point: Point) -> str:
        return f"{self.left + point[0] / self.scale:.2f},{self.top - point[1] / self.scale:.2f}"


def _outline(lever: Lever, shown: Sequence[LeverState], cut: tuple[Slot, Metal] | None) -> list[Point]:
    """Everything that must be on the sheet."""
    points = [lever.pivot_mm, lever.mouth_mm, *_along_arc(lever)]
    for state in shown:
        points += [state.clevis_mm, state.pad_mm, state.seat_mm]
    if cut is not None:
        points += [p for side in _sides(*cut) for p in side]
    return points


def _placing(points: Sequence[Point], sheet: tuple[float, float]) -> tuple[float, _Place]:
    """The largest scale at which everything fits a sheet (its width, the height of its legend), and how it lies."""
    low = (min(p[0] for p in points) - 10.0, min(p[1] for p in points) - 10.0)
    high = (max(p[0] for p in points) + 10.0, max(p[1] for p in points) + 10.0)
    room = (sheet[0] - 2.0 * _MARGIN_MM, sheet[1] - _HEAD_MM - _MARGIN_MM)
    need = max((high[0] - low[0]) / room[0], (high[1] - low[1]) / room[1])
    scale = next((s for s in _SCALES if s >= need), math.ceil(need))
    return scale, _Place(scale, low, high, room)


def _along_arc(lever: Lever) -> list[Point]:
    return [state_at(lever, lever.travel_deg * n / _ARC_STEPS).pad_mm for n in range(_ARC_STEPS + 1)]


def _arc(lever: Lever, place: _Place) -> str:
    points = " ".join(place(p) for p in _along_arc(lever))
    return f'<polyline class="p" points="{points}"><title>way of the pad</title></polyline>'


def _axis(lever: Lever, shown: Sequence[LeverState], place: _Place) -> str:
    push = math.radians(lever.push_deg)
    back = (lever.mouth_mm[0] - 40.0 * math.cos(push), lever.mouth_mm[1] - 40.0 * math.sin(push))
    seat = shown[-1].seat_mm
    front = (seat[0] + 60.0 * math.cos(push), seat[1] + 60.0 * math.sin(push))
    return f'<path class="x" d="M{place(back)}L{place(front)}"><title>axis of the cylinder</title></path>'


def _position(lever: Lever, state: LeverState, style: str, place: _Place) -> str:
    pivot, clevis, pad, seat = (place(p) for p in (lever.pivot_mm, state.clevis_mm, state.pad_mm, state.seat_mm))
    rings = "".join(
        f'<circle class="d" cx="{x}" cy="{y}" r="{r}"/>'
        for (x, _, y), r in ((p.partition(","), r) for p, r in ((pivot, 1.8), (clevis, 1.2), (seat, 0.9), (pad, 1.2)))
    )
    words = f"turned {abs(state.angle_deg):.1f} deg, stroke {state.stroke_mm:.1f} mm"
    return f'<g><path class="{style}" d="M{pivot}L{clevis}L{seat}M{pivot}L{pad}"/>{rings}<title>{words}</title></g>'


def _sides(slot: Slot, metal: Metal) -> list[tuple[Point, Point]]:
    """What is left of the sheet a hand's breadth to both sides of the slot."""
    c, s = math.cos(math.radians(metal.runs_deg)), math.sin(math.radians(metal.runs_deg))

    def at(along: float) -> Point:
        return metal.at_mm[0] + c * along, metal.at_mm[1] + s * along

    return [(at(slot.low_mm - 60.0), at(slot.low_mm)), (at(slot.high_mm), at(slot.high_mm + 60.0))]


def _metal(slot: Slot, metal: Metal, place: _Place) -> str:
    d = "".join(f"M{place(a)}L{place(b)}" for a, b in _sides(slot, metal))
    return f'<path class="m" d="{d}"><title>sheet with a slot {slot.long_mm:.0f} mm long</title></path>'


def _legend(wide: float, y: float) -> str:
    parts = []
    for n, (style, words) in enumerate(_LINES):
        x = _MARGIN_MM + _LEGEND_SHARE * wide * n
        parts.append(f'<path class="{style}" d="M{x:g},{y:g}h12"/><text x="{x + 15:g}" y="{y + 1.2:g}">{words}</text>')
    return "".join(parts)


def _scale_words(scale: float) -> str:
    return "full size" if scale == 1.0 else f"1:{scale:g}"


def _bar(scale: float, wide: float, y: float) -> str:
    """A scale bar of a round length."""
    length = max((b for b in _BAR_MM if b / scale <= _BAR_SHARE * wide), default=_BAR_MM[0])
    x = wide - _MARGIN_MM - length / scale
    return (
        f'<path d="M{x:.2f},{y - 1.5:g}v3M{x:.2f},{y:g}h{length / scale:.2f}m0,-1.5v3" stroke="#000" stroke-width=".4"'
        f' fill="none"/><text x="{x - 2:.2f}" y="{y + 1.2:g}" text-anchor="end">{length:g} mm</text>'
    )


def _figures(lines: Sequence[str], high: float) -> list[str]:
    first = high - _FOOT_MM + 7.0
    rows = int((high - 4.0 - first) / 4.6) + 1
    return [
        f'<text x="{_MARGIN_MM:g}" y="{first + 4.6 * n:.2f}">{escape(line)}</text>'
        for n, line in enumerate(lines[:rows])
    ]
