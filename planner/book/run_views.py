"""The run of a link to scale, from the right and from above, as SVG text."""

from __future__ import annotations

from collections.abc import Sequence
from html import escape

from planner.export.plan_words import one_line
from planner.model.shapes import Vec
from planner.space import Elevation
from planner.units import format_length

_WIDE_MM, _EDGE_MM, _LEAST_MM = 172.0, 8.0, 6.0
_HIGHEST_MM = 60.0
_SCALES = (1.0, 2.0, 2.5, 5.0, 10.0, 15.0, 20.0, 25.0, 40.0, 50.0, 100.0)
_BAR_SHARE = 0.3
_BARS_MM = (1000.0, 500.0, 200.0, 100.0, 50.0, 20.0)
_NAMES = {Elevation.SIDE: "from the right of the vehicle", Elevation.PLAN: "from above the vehicle"}


def run_views_of(name: str, points_mm: Sequence[Vec], ends: tuple[str, str], units: str) -> str:
    """Two views of a run, its corners numbered from its first end.

    Parameters
    ----------
    name : str
    points_mm : sequence of places in vehicle axes
        From end to end, two at least.
    ends : tuple of str
        What stands at either end.
    units : {"mm", "inch"}
    """
    flats = {view: [view.flat(p) for p in points_mm] for view in _NAMES}
    scale = _scale(list(flats.values()))
    y, body = _EDGE_MM, []
    for view, flat in flats.items():
        low_x, high_y = min(p[0] for p in flat), max(p[1] for p in flat)
        high = max((high_y - min(p[1] for p in flat)) / scale, _LEAST_MM)
        dots = [(_EDGE_MM + (u - low_x) / scale, y + 6.0 + (high_y - v) / scale) for u, v in flat]
        body.append(f'<text x="{_EDGE_MM:g}" y="{y:.2f}" class="vt">{_NAMES[view]}</text>')
        body.append(f'<polyline class="vr" points="{" ".join(f"{a:.2f},{b:.2f}" for a, b in dots)}"/>')
        body += _numbered(dots)
        y += high + 18.0
    length = next((b for b in _BARS_MM if b / scale <= _WIDE_MM * _BAR_SHARE), _BARS_MM[-1])
    body.append(
        f'<path class="vb" d="M{_EDGE_MM:g} {y - 1.5:.2f}v3M{_EDGE_MM:g} {y:.2f}h{length / scale:.2f}m0 -1.5v3"/>'
        f'<text x="{_EDGE_MM + length / scale + 3:.2f}" y="{y + 1.2:.2f}">{format_length(length, units)}, 1 : {scale:g}'
        " where the page is printed at full size</text>"
    )
    high = y + 5.0
    told = escape(one_line(f"run of {name} from {ends[0]} (A) to {ends[1]} (B), to scale"), quote=True)
    return (
        f'<svg class="views" width="{_WIDE_MM:g}mm" height="{high:.2f}mm" viewBox="0 0 {_WIDE_MM:g} {high:.2f}" '
        f'role="img" aria-label="{told}">{"".join(body)}</svg>'
    )


def _numbered(dots: Sequence[tuple[float, float]]) -> list[str]:
    """Ends are A and B, corners between them 1, 2, 3..."""
    last, parts = len(dots) - 1, []
    for n, (x, y) in enumerate(dots):
        mark = "A" if n == 0 else "B" if n == last else str(n)
        parts.append(f'<circle class="vp" cx="{x:.2f}" cy="{y:.2f}" r=".9"/>')
        parts.append(f'<text x="{x + 1.4:.2f}" y="{y - 1.4:.2f}" class="vl">{mark}</text>')
    return parts


def _scale(flats: Sequence[Sequence[tuple[float, float]]]) -> float:
    wide = max(max(p[0] for p in f) - min(p[0] for p in f) for f in flats)
    high = max(max(p[1] for p in f) - min(p[1] for p in f) for f in flats)
    fits = (s for s in _SCALES if wide / s <= _WIDE_MM - 2 * _EDGE_MM - 8.0 and high / s <= _HIGHEST_MM)
    return next(fits, _SCALES[-1])
