"""Folded sheet: P.C. Sharma, Production Engineering, 2.3, 2.10, 2.12; Machinery's Handbook lengths of a 90 degree bend.

The handbook's 0.55 T, 0.64 T and 0.71 T + 1.57 R are values from memory.
"""

import math
from itertools import pairwise

import pytest

from planner.sums.bending import K_HANDBOOK, allowance_mm, blank, flat_pattern, setback_mm, vee_force_n


def test_sharma_2_10_flat_length() -> None:
    """Outside legs 76 and 115 mm, t 2.3, r 0.9, neutral line at t/3."""
    neutral = 1 / 3
    assert allowance_mm(90, 0.9, 2.3, neutral) == pytest.approx(2.618, rel=1e-3)
    flat = flat_pattern([76, 115], [90], radius_mm=0.9, thickness_mm=2.3, neutral=neutral)
    assert flat.length_mm == pytest.approx(187.22, rel=1e-4)
    assert flat.bends_mm[0][0] == pytest.approx(72.8)


@pytest.mark.parametrize(("temper", "per_thickness"), [("soft", 0.55), ("medium", 0.64), ("hard", 0.71)])
def test_handbook_lengths_of_a_right_angle(temper: str, per_thickness: float) -> None:
    handbook = per_thickness * 2 + 1.57 * 3
    assert allowance_mm(90, 3, 2, K_HANDBOOK[temper]) == pytest.approx(handbook, rel=0.002)


def test_setback_is_the_tangent_and_none_for_a_sheet_folded_flat() -> None:
    assert setback_mm(60, 2, 1) == pytest.approx(3 * math.tan(math.radians(30)))
    with pytest.raises(ValueError, match="do not meet"):
        setback_mm(180, 2, 1)


@pytest.mark.parametrize(
    ("factor", "length", "tensile", "thickness", "opening", "force_kn"),
    [(1.20, 375, 630, 2.5, 40, 44.3), (1.33, 1200, 455, 1.6, 12.8, 145.24), (0.67, 900, 400, 3.2, 22.2, 111.25)],
)
def test_sharma_bending_forces(
    factor: float, length: float, tensile: float, thickness: float, opening: float, force_kn: float
) -> None:
    assert vee_force_n(length, thickness, tensile, opening, factor) / 1000 == pytest.approx(force_kn, rel=0.001)


def test_a_leg_too_short_for_its_bend_is_refused() -> None:
    with pytest.raises(ValueError, match="too short for its bends"):
        flat_pattern([2, 50], [90], radius_mm=3, thickness_mm=2, neutral=0.42)


def test_the_blank_of_sharma_2_10() -> None:
    """The same bracket 40 mm wide: a rectangle of 187.22 x 40, one fold line 72.8 + 2.618 / 2 mm along it."""
    flat = flat_pattern([76, 115], [90], radius_mm=0.90, thickness_mm=2.3, neutral=1 / 3)
    cut = blank(flat, [40, 40], [90], thickness_mm=2.3, density_kg_m3=7850)
    (line,) = cut.folds_mm
    assert line[0][0] == line[1][0] == pytest.approx(72.8 + 2.618 / 2, abs=0.01)
    assert (line[0][1], line[1][1]) == (20, -20)
    assert cut.zones_mm[0] == pytest.approx((72.8, 72.8 + 2.618), abs=0.01)
    assert max(x for x, _ in cut.outline_mm) == pytest.approx(187.22, abs=0.05)
    assert cut.area_mm2 == pytest.approx(187.22 * 40, rel=1e-3)
    assert cut.mass_kg == pytest.approx(187.22 * 40 * 2.3 * 7.85e-6, rel=1e-3)


def test_a_blank_of_two_widths_has_the_area_of_its_outline() -> None:
    """By the shoelace formula, and the corners in order round it."""
    flat = flat_pattern([60, 80, 30], [90, 45], radius_mm=3, thickness_mm=3, neutral=0.44)
    cut = blank(flat, [50, 30, 30], [90, 45], thickness_mm=3, density_kg_m3=7850)
    ring = [*cut.outline_mm, cut.outline_mm[0]]
    twice = sum(x1 * y2 - x2 * y1 for (x1, y1), (x2, y2) in pairwise(ring))
    assert abs(twice) / 2 == pytest.approx(cut.area_mm2)
    assert len(cut.outline_mm) == len(set(cut.outline_mm))
    assert cut.folds_mm[0][0][1] == 15
    with pytest.raises(ValueError, match="go with"):
        blank(flat, [50, 30], [90, 45], thickness_mm=3, density_kg_m3=7850)
