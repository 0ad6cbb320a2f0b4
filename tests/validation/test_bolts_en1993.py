"""Bolts by EN 1993-1-8, table 3.4, as tabled for class 8.8 in the steel designers' blue book (values from memory)."""

import pytest

from planner.sums.pins import hole_mm, pull_through_n, sheet_bearing_n
from planner.sums.threads import metric_grade, shear_load_n, tension_load_n, used_share

TABLED_KN = {157.0: (90.4, 60.3), 245.0: (141.0, 94.1), 353.0: (203.0, 136.0)}
"""Stress area [mm2] of M16, M20 and M24: tension and shear [kN]; class 8.8 is reckoned at 800 MPa throughout there."""


@pytest.mark.parametrize(("area", "tabled"), TABLED_KN.items())
def test_tension_and_shear_of_class_8_8(area: float, tabled: tuple[float, float]) -> None:
    grade = metric_grade("8.8", 16)
    assert tension_load_n(area, grade) / 1000 == pytest.approx(tabled[0], rel=0.005)
    assert shear_load_n(area, grade) / 1000 == pytest.approx(tabled[1], rel=0.005)


def test_shear_and_tension_together() -> None:
    """F_v / F_v,Rd + F_t / (1.4 F_t,Rd) <= 1, and tension by itself never above its own."""
    use = {"shear_load_n": 94.1, "tension_load_n": 141.0}
    assert used_share(47.05, 98.7, **use) == pytest.approx(0.5 + 0.5)
    assert used_share(0, 141.0, **use) == pytest.approx(1.0)
    assert used_share(94.1, 0, **use) == pytest.approx(1.0)


def test_bearing_and_punching_by_hand() -> None:
    """M8 in 3 mm of 360 MPa, 15 mm from the edge, hole 9 mm: k1 = min(2.97, 2.5), alpha = 15/27: 12.0 kN, by hand."""
    assert hole_mm(8) == 9
    assert hole_mm(16) == 18
    assert sheet_bearing_n(8, 3, 360, 15) == pytest.approx(2.5 * 15 / 27 * 360 * 8 * 3)
    assert pull_through_n(16, 1.2, 300) == pytest.approx(0.6 * 3.14159265 * 16 * 1.2 * 300)
    with pytest.raises(ValueError, match="nearer than"):
        sheet_bearing_n(8, 3, 360, 10)
