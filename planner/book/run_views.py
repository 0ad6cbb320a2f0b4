"""The run of a link to scale, from the right and from above, as SVG text."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from html import escape
from itertools import pairwise

from planner.export.plan_words import one_line
from planner.model.shapes import Vec
from planner.space import Elevation
from planner.units import format_length

Point = tuple[float, float]

_WIDE_MM, _EDGE_MM = 172.0, 8.0
_HIGHEST_MM = 48.0
"""Of both views together, or of each where they stand side by side."""
_TITLE_MM, _APART_MM = 6.0, 9.0
"""From the name of a view down to its line; and from its line to what is below it."""
_SCALES = (1.0, 2.0, 2.5, 5.0, 10.0, 15.0, 20.0, 25.0, 40.0, 50.0, 100.0)
_BAR_SHARE = 0.3
_BARS_MM = (1000.0, 500.0, 200.0, 100.0, 50.0, 20.0)
_NAMES = {Elevation.SIDE: "from the right of the vehicle", Elevation.PLAN: "from above the vehicle"}
_AWAY_MM = (3.0, 5.0)
"""How far from its corner the middle of a number may stand."""
_WAYS = 16
_NUMBER_MM = (1.1, 1.3)
"""Half the width of a letter of a number, and half its height, with a rim."""


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
    flats = [[view.flat(p) for p in points_mm] for view in _NAMES]
    scale, beside = _layout(flats)
    body, foot, left = [], 0.0, _EDGE_MM
    for title, flat in zip(_NAMES.values(), flats, strict=True):
        top = 3.0 if beside or foot == 0.0 else foot + _APART_MM
        low_x, high_y = min(p[0] for p in flat), max(p[1] for p in flat)
        dots = [(left + (u - low_x) / scale, top + _TITLE_MM + (high_y - v) / scale) for u, v in flat]
        body.append(f'<text x="{left:g}" y="{top:.2f}" class="vt">{title}</text>')
        body.append(f'<polyline class="vr" points="{" ".join(f"{a:.2f},{b:.2f}" for a, b in dots)}"/>')
        body += _numbered(dots)
        foot = max(foot, *(y for _, y in dots))
        left += _WIDE_MM / 2 if beside else 0.0
    y = foot + _APART_MM - 2.0
    length = next((b for b in _BARS_MM if b / scale <= _WIDE_MM * _BAR_SHARE), _BARS_MM[-1])
    body.append(
        f'<path class="vb" d="M{_EDGE_MM:g} {y - 1.5:.2f}v3M{_EDGE_MM:g} {y:.2f}h{length / scale:.2f}m0 -1.5v3"/>'
        f'<text x="{_EDGE_MM + length / scale + 3:.2f}" y="{y + 1.2:.2f}">{format_length(length, units)}, 1 : {scale:g}'
        " where the page is printed at full size</text>"
    )
    high = y + 3.0
    told = escape(one_line(f"run of {name} from {ends[0]} (A) to {ends[1]} (B), to scale"), quote=True)
    return (
        f'<svg class="views" width="{_WIDE_MM:g}mm" height="{high:.2f}mm" viewBox="0 0 {_WIDE_MM:g} {high:.2f}" '
        f'role="img" aria-label="{told}">{"".join(body)}</svg>'
    )


def _numbered(dots: Sequence[Point]) -> Iterator[str]:
    """Ends are A and B, corners between them 1, 2, 3..."""
    last = len(dots) - 1
    marks = ["A", *(str(n) for n in range(1, last)), "B"]
    yield from (f'<circle class="vp" cx="{x:.2f}" cy="{y:.2f}" r=".9"/>' for x, y in dots)
    for mark, (x, y) in zip(marks, spots_for(marks, dots), strict=True):
        yield f'<text x="{x:.2f}" y="{y + _NUMBER_MM[1] - 0.1:.2f}" text-anchor="middle" class="vl">{mark}</text>'


def spots_for(marks: Sequence[str], dots: Sequence[Point]) -> tuple[Point, ...]:
    """Middles of the numbers [mm]: each by its corner where it lies least on the line, the corners and other numbers.

    The ends choose first, they matter most; then the corners in their turn.
    """
    taken: dict[int, tuple[float, float, float]] = {}
    for n in sorted(range(len(marks)), key=lambda n: (marks[n].isdigit(), n)):
        half = _NUMBER_MM[0] * len(marks[n])
        found = min(_around(dots[n]), key=lambda at: _crowded(at, half, dots, list(taken.values())))
        taken[n] = (*found, half)
    return tuple(taken[n][:2] for n in range(len(marks)))


def _around(dot: Point) -> Iterator[Point]:
    for away in _AWAY_MM:
        for k in range(_WAYS):
            angle = 2.0 * math.pi * (k / _WAYS) - math.pi / 4.0
            yield dot[0] + away * math.cos(angle), dot[1] + away * math.sin(angle)


def _crowded(at: Point, half: float, dots: Sequence[Point], taken: Sequence[tuple[float, float, float]]) -> float:
    """How much is in the way of a number here; what is further off counts less, and nearness to its corner a little."""
    worst = 0.0
    for a, b in pairwise(dots):
        worst += max(0.0, half + _NUMBER_MM[1] - _off_line(at, a, b))
    for x, y, other in taken:
        overlap = min(half + other - abs(at[0] - x), 2.0 * _NUMBER_MM[1] - abs(at[1] - y))
        worst += 3.0 * max(0.0, overlap)
    worst += max(0.0, half - at[0])
    return round(worst, 6)


def _off_line(at: Point, a: Point, b: Point) -> float:
    """Distance of a point from a stretch of line."""
    along = (b[0] - a[0], b[1] - a[1])
    square = along[0] ** 2 + along[1] ** 2
    share = 0.0 if square == 0.0 else ((at[0] - a[0]) * along[0] + (at[1] - a[1]) * along[1]) / square
    share = min(max(share, 0.0), 1.0)
    return math.hypot(at[0] - a[0] - share * along[0], at[1] - a[1] - share * along[1])


def _layout(flats: Sequence[Sequence[Point]]) -> tuple[float, bool]:
    """Scale, and whether the views stand side by side: the larger drawing, then the lower one."""
    wide = max(max(p[0] for p in f) - min(p[0] for p in f) for f in flats)
    highs = [max(p[1] for p in f) - min(p[1] for p in f) for f in flats]
    under = _scale(wide, sum(highs), _WIDE_MM - 2 * _EDGE_MM - 8.0)
    beside = _scale(wide, max(highs), _WIDE_MM / 2 - _EDGE_MM - 8.0)
    return min((beside, True), (under, False), key=lambda each: (each[0], not each[1]))


def _scale(wide: float, high: float, room_mm: float) -> float:
    return next((s for s in _SCALES if wide / s <= room_mm and high / s <= _HIGHEST_MM), _SCALES[-1])
