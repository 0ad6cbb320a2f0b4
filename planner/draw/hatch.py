"""Hatching as plain strokes within a box: patterns swell a printed page to many times its size.

A field of 2 x 2 mm is told as SVG path data of straight strokes, as for a pattern. Strokes from edge to edge of the
field become lines through the whole box; shorter ones, level or upright, dashes of one line for each row of fields.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterator
from dataclasses import dataclass
from functools import lru_cache

from planner.draw.lettering import num

FIELD_MM = 2.0
Box = tuple[float, float, float, float]
"""Left, top, right and bottom [mm]."""
_STROKE = re.compile(
    r"M(?P<x>-?[\d.]+) (?P<y>-?[\d.]+)"
    r"(?:L(?P<a>-?[\d.]+) (?P<b>-?[\d.]+)|H(?P<h>-?[\d.]+)|V(?P<v>-?[\d.]+)|h(?P<dx>-?[\d.]+))"
)
_FIRM = 1e-6


@dataclass(frozen=True, slots=True)
class _Family:
    r"""Strokes side by side: ``way`` is "-", "|", "/" or "\"; ``at`` where they lie in the field, across the way.

    ``start`` and ``length`` along the way are those of a dash; a length of a field or more is a whole line.
    """

    way: str
    at: float
    start: float = 0.0
    length: float = FIELD_MM

    @property
    def dash(self) -> str:
        """Dashes of the line as SVG has them; empty for a whole one."""
        return "" if self.length >= FIELD_MM else f"{self.length:g} {FIELD_MM - self.length:g}"


def hatched(field: str, box: Box) -> tuple[tuple[str, str], ...]:
    """Path data and dashes (empty: whole lines) of a hatching within a box; one entry for each kind of dash.

    Examples
    --------
    >>> hatched("M0 1H2", (0.0, 0.0, 6.0, 4.0))
    (('M0 1H6M0 3H6', ''),)
    >>> hatched("M.5 .5h.01", (0.0, 0.0, 3.0, 2.0))
    (('M0.5 0.5H3', '0.01 1.99'),)
    """
    found: dict[str, list[str]] = {}
    for family in _families(field):
        found.setdefault(family.dash, []).extend(_lines(family, box))
    return tuple((d, dash) for dash, strokes in found.items() if (d := "".join(strokes)))


def hatch_paths(field: str, box: Box, attributes: str) -> str:
    """The same as SVG elements, each with the attributes given (``class="..."`` and what else it wants)."""
    dashed = ((d, f' stroke-dasharray="{dash}"' if dash else "") for d, dash in hatched(field, box))
    return "".join(f'<path {attributes}{dash} d="{d}"/>' for d, dash in dashed)


@lru_cache(maxsize=64)
def _families(field: str) -> tuple[_Family, ...]:
    found = []
    for m in _STROKE.finditer(field):
        x, y = float(m["x"]), float(m["y"])
        level = m["h"] is not None or m["dx"] is not None
        if level:
            end = float(m["h"]) if m["h"] is not None else x + float(m["dx"])
            found.append(_Family("-", y % FIELD_MM, *_dash(x, end)))
        elif m["v"] is not None:
            found.append(_Family("|", x % FIELD_MM, *_dash(y, float(m["v"]))))
        else:
            rises = (float(m["a"]) - x) * (float(m["b"]) - y) < 0.0
            found.append(_Family("/", (x + y) % FIELD_MM) if rises else _Family("\\", (x - y) % FIELD_MM))
    return tuple(dict.fromkeys(found))


def _dash(start: float, end: float) -> tuple[float, float]:
    length = round(end - start, 6)
    return (0.0, FIELD_MM) if length >= FIELD_MM else (start % FIELD_MM, length)


def _lines(family: _Family, box: Box) -> Iterator[str]:
    left, top, right, bottom = box
    if family.way == "-":
        begin = _first(family, left)
        yield from (f"M{num(begin)} {num(y)}H{num(right)}" for y in _places(family.at, top, bottom) if begin < right)
    elif family.way == "|":
        begin = _first(family, top)
        yield from (f"M{num(x)} {num(begin)}V{num(bottom)}" for x in _places(family.at, left, right) if begin < bottom)
    elif family.way == "/":
        for c in _places(family.at, left + top, right + bottom):
            x0, x1 = max(left, c - bottom), min(right, c - top)
            yield f"M{num(x0)} {num(c - x0)}L{num(x1)} {num(c - x1)}"
    else:
        for c in _places(family.at, left - bottom, right - top):
            x0, x1 = max(left, c + top), min(right, c + bottom)
            yield f"M{num(x0)} {num(x0 - c)}L{num(x1)} {num(x1 - c)}"


def _first(family: _Family, low: float) -> float:
    """Where a line begins: at the edge of the box, or with the first dash that lies whole within it."""
    return low if not family.dash else next(_places(family.start, low - _FIRM, math.inf))


def _places(at: float, low: float, high: float) -> Iterator[float]:
    """Every place of a family between two edges."""
    k = math.floor((low - at) / FIELD_MM) + 1
    while (place := at + k * FIELD_MM) < high - _FIRM:
        yield place
        k += 1
