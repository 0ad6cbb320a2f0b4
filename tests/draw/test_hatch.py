"""Hatching as plain strokes: as long as geometry says, inside its box, and cut to the shape it is for."""

from __future__ import annotations

import math
import re
from xml.etree import ElementTree as ET

import pytest
from svg_reading import SVG
from trials import job, knockons, vehicle

from planner.draw import draw_job, svg_text
from planner.draw.hatch import hatched
from planner.draw.svg import HATCHES

BOX = (3.3, 5.7, 203.3, 105.7)
AREA_MM2 = 200.0 * 100.0
FAMILIES = {
    "level": ("M0 .5H2", 1 / 2),
    "level, twice as close": ("M0 .5H2M0 1.5H2", 1.0),
    "upright": ("M.5 0V2", 1 / 2),
    "rising, with the corners of its field": ("M0 2L2 0M-.5 .5L.5 -.5M1.5 2.5L2.5 1.5", 1 / math.sqrt(2)),
    "falling": ("M0 0L2 2M-.5 1.5L.5 2.5M1.5 -.5L2.5 .5", 1 / math.sqrt(2)),
    "crossed": ("M0 2L2 0M0 0L2 2", math.sqrt(2)),
}
"""Length of strokes on a square millimetre: lines 2 mm apart, or, leaning, half the diagonal of a field of 2 mm."""


def strokes(d: str) -> list[tuple[float, float, float, float]]:
    found = []
    for x, y, how, rest in re.findall(r"M(-?[\d.]+) (-?[\d.]+)([HVL])(-?[\d. ]+)", d):
        ends = [float(v) for v in rest.split()]
        end = {"H": (ends[0], float(y)), "V": (float(x), ends[0])}.get(how) or (ends[0], ends[1])
        found.append((float(x), float(y), *end))
    return found


@pytest.mark.parametrize(("field", "density"), FAMILIES.values(), ids=FAMILIES)
def test_lines_are_as_long_as_their_distance_asks_for_and_stay_in_the_box(field: str, density: float) -> None:
    ((d, dash),) = hatched(field, BOX)
    assert dash == ""
    told = strokes(d)
    length = sum(math.dist(s[:2], s[2:]) for s in told)
    assert length == pytest.approx(density * AREA_MM2, rel=0.03)
    for x0, y0, x1, y1 in told:
        assert min(x0, x1) >= BOX[0] - 0.01
        assert max(x0, x1) <= BOX[2] + 0.01
        assert min(y0, y1) >= BOX[1] - 0.01
        assert max(y0, y1) <= BOX[3] + 0.01


def test_dots_and_dashes_lie_where_their_field_has_them() -> None:
    """Fields begin at even millimetres: dots at 0.5 and 1.5 of each, so at 4.5, 6.5... and at 5.5, 7.5..."""
    ((d, dash),) = hatched("M.5 .5h.01M1.5 1.5h.01", (4.0, 4.0, 8.0, 8.0))
    assert dash == "0.01 1.99"
    assert strokes(d) == [
        (4.5, 4.5, 8.0, 4.5),
        (4.5, 6.5, 8.0, 6.5),
        (5.5, 5.5, 8.0, 5.5),
        (5.5, 7.5, 8.0, 7.5),
    ]


def test_a_changed_part_is_hatched_within_its_own_outline() -> None:
    root = ET.fromstring(svg_text(draw_job(vehicle(), job("battery-aft"), knockons("battery-aft"))))  # noqa: S314  # ours
    clips = {c.get("id"): c[0].get("d") for c in root.iter(f"{SVG}clipPath")}
    shown = {p.get("d") for p in root.iter(f"{SVG}path") if p.get("class") == "c" and p.get("data-mark")}
    used = set()
    for path in root.iter(f"{SVG}path"):
        if (path.get("class") or "")[:1] == "x" and path.get("clip-path"):
            used.add((path.get("clip-path") or "")[5:-1])
    assert used <= set(clips)
    assert {clips[c] for c in used} == shown
    legend = [p for p in root.iter(f"{SVG}path") if (p.get("class") or "")[:1] == "x" and not p.get("clip-path")]
    assert {p.get("class") for p in legend} == {f"x{mark.value}" for mark in HATCHES}
