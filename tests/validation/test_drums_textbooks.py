"""Drum brakes: Shigley, Mechanical Engineering Design, example 16-2 and problem 16-1; Bhandari, 12.9 and 12.10.

The geometry of 16-2 is a value from memory (its printed results come out). A companion of Jindal 23-4 has the sign of
the pivot's term wrong and gets 695.5 N m and 2812.9 N: those must not come out.
"""

import math

import pytest

from planner.sums.drums import Leading, Shoe, band_tensions_n, drum_torque_nmm, moments, shoe_torque

LEADING, TRAILING = Leading.LEADING, Leading.TRAILING
SHIGLEY_16_2 = Shoe(radius_mm=150, width_mm=32, pivot_mm=122.7, arm_mm=212, begins_deg=0, ends_deg=126)


def test_shigley_16_2() -> None:
    unit = moments(SHIGLEY_16_2, 0.32)
    assert unit.friction / 1000 == pytest.approx(304, rel=0.005)
    assert unit.normal / 1000 == pytest.approx(788, rel=0.005)
    force = (unit.normal - unit.friction) / 212
    assert force == pytest.approx(2285, rel=0.01)
    right = shoe_torque(SHIGLEY_16_2, 0.32, force, LEADING)
    left = shoe_torque(SHIGLEY_16_2, 0.32, force, TRAILING)
    assert right.pressure_mpa == pytest.approx(1.0)
    assert right.torque_nmm / 1000 == pytest.approx(366, rel=0.005)
    assert left.pressure_mpa * 1000 == pytest.approx(443, rel=0.005)
    assert left.torque_nmm / 1000 == pytest.approx(162, rel=0.005)
    both = drum_torque_nmm(SHIGLEY_16_2, 0.32, force, (LEADING, TRAILING))
    assert both / 1000 == pytest.approx(528, rel=0.005)


def test_shigley_problem_16_1() -> None:
    shoe = Shoe(
        radius_mm=150,
        width_mm=40,
        pivot_mm=125,
        arm_mm=2 * 125 * math.cos(math.radians(30)),
        begins_deg=0,
        ends_deg=120,
    )
    right = shoe_torque(shoe, 0.28, 2200, LEADING)
    assert right.pressure_mpa * 1000 == pytest.approx(734, rel=0.001)


def test_bhandari_12_9_four_shoes() -> None:
    shoe = Shoe(radius_mm=250, width_mm=50, pivot_mm=200, arm_mm=200, begins_deg=15, ends_deg=75)
    unit = moments(shoe, 0.3)
    assert unit.friction == pytest.approx(350_081.8, rel=1e-6)
    assert unit.normal == pytest.approx(1_355_173.4, rel=1e-6)
    force = (unit.normal - unit.friction) / 200
    assert force == pytest.approx(5025.46, rel=1e-6)
    assert shoe_torque(shoe, 0.3, force, TRAILING).pressure_mpa == pytest.approx(0.58941, rel=1e-4)
    assert 2 * drum_torque_nmm(shoe, 0.3, force, (LEADING, TRAILING)) == pytest.approx(2_181_614, rel=1e-6)


def test_the_pivots_term_has_a_minus() -> None:
    shoe = Shoe(radius_mm=160, width_mm=50, pivot_mm=math.hypot(115, 66.4), arm_mm=230, begins_deg=0, ends_deg=120)
    unit = moments(shoe, 0.3)
    assert unit.friction / 1e6 == pytest.approx(0.4565, rel=0.001)
    assert (unit.normal - unit.friction) / 230 == pytest.approx(3852, rel=0.002)
    assert unit.friction / 1e6 != pytest.approx(0.6955, rel=0.05)


def test_twin_leading_gives_more_one_way_and_less_the_other() -> None:
    ahead = drum_torque_nmm(SHIGLEY_16_2, 0.32, 1000, (LEADING, LEADING))
    back = drum_torque_nmm(SHIGLEY_16_2, 0.32, 1000, (TRAILING, TRAILING))
    common = drum_torque_nmm(SHIGLEY_16_2, 0.32, 1000, (LEADING, TRAILING))
    assert ahead > common > back


def test_a_shoe_that_locks_by_itself_is_refused() -> None:
    shoe = Shoe(radius_mm=150, width_mm=30, pivot_mm=60, arm_mm=100, begins_deg=0, ends_deg=120)
    with pytest.raises(ValueError, match="locks by itself"):
        shoe_torque(shoe, 0.6, 1000, LEADING)


def test_bhandari_12_10_band() -> None:
    slack = band_tensions_n(15_000, 0.25, 240)
    assert slack == pytest.approx(5263.80, rel=1e-6)
    assert (15_000 - slack) * 0.3 == pytest.approx(2920.86, rel=1e-5)
    # The lever is pushed 750 mm beyond the slack side's pin, 950 mm from its pivot.
    assert (slack * 200 - 15_000 * 50) / (750 + 200) == pytest.approx(318.69, rel=1e-4)
    assert 15_000 / slack < 200 / 50, "it would lock by itself"
