"""Clamp load and torque at 90 % of yield, metric fine: VDI 2230:2001/2003, as reprinted in a tool maker's catalogue.

Coarse spot check M12 8.8, friction 0.14, 41.9 kN: a trade table. Head and hole diameters are those that reproduce all
cells (value from memory for the formula).
"""

import pytest

from planner.sums.threads import metric_grade
from planner.sums.tightening import preload

SIZES = {"M8x1": (8, 1, 11.63, 9), "M10x1.25": (10, 1.25, 14.63, 11), "M12x1.25": (12, 1.25, 16.63, 13.5)}
CELLS = {
    ("M8x1", 0.10): ((20.7, 22.8), (30.4, 33.5)),
    ("M8x1", 0.12): ((20.2, 26.1), (29.7, 38.3)),
    ("M8x1", 0.14): ((19.7, 29.2), (28.9, 42.8)),
    ("M10x1.25", 0.10): ((32.4, 44), (47.5, 65)),
    ("M10x1.25", 0.12): ((31.6, 51), (46.4, 75)),
    ("M10x1.25", 0.14): ((30.8, 57), (45.2, 83)),
    ("M12x1.25", 0.10): ((49.1, 79), (72.1, 116)),
    ("M12x1.25", 0.12): ((48.0, 90), (70.5, 133)),
    ("M12x1.25", 0.14): ((46.8, 101), (68.8, 149)),
}


@pytest.mark.parametrize(("size", "friction"), CELLS)
def test_every_cell(size: str, friction: float) -> None:
    d, pitch, head, hole = SIZES[size]
    for grade, (force_kn, moment_nm) in zip(("8.8", "10.9"), CELLS[size, friction], strict=True):
        found = preload(
            d, pitch, yield_mpa=metric_grade(grade, d).yield_mpa, friction=friction, head_mm=head, hole_mm=hole
        )
        assert found.clamp_n / 1000 == pytest.approx(force_kn, rel=0.006)
        assert found.torque_nm == pytest.approx(moment_nm, rel=0.012)


def test_a_coarse_spot_check() -> None:
    found = preload(12, 1.75, yield_mpa=640, friction=0.14, head_mm=16.63, hole_mm=13.5)
    assert found.clamp_n / 1000 == pytest.approx(41.9, rel=0.005)


def test_less_friction_clamps_more_at_less_torque() -> None:
    dry = preload(8, 1.25, yield_mpa=640, friction=0.16, head_mm=11.63, hole_mm=9)
    oiled = preload(8, 1.25, yield_mpa=640, friction=0.10, head_mm=11.63, hole_mm=9)
    assert oiled.clamp_n > dry.clamp_n
    assert oiled.torque_nm < dry.torque_nm
