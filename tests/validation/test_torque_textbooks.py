"""Torque, nut factor and turn of nut: Wentzell, Machine Design, 6.1 and 6.2; Jindal, Machine Design, 9-3, 9-5, 9-6."""

import pytest
from inch_pound import INCH_MM, LBF_N, PSI_MPA

from planner.sums.tightening import nut_factor_of, torque_nm, turn_deg


def test_wentzell_6_1_torque_of_a_three_quarter_inch_bolt() -> None:
    clamp = 0.85 * 85_000 * 0.334 * LBF_N
    in_lbf = torque_nm(0.75 * INCH_MM, clamp, 0.2) * 1000 / (LBF_N * INCH_MM)
    assert in_lbf == pytest.approx(3619.7, rel=0.0001)


def test_wentzell_6_2_turn_of_the_nut() -> None:
    stress = 0.85 * 85_000 * PSI_MPA
    assert turn_deg(stress, 5 * INCH_MM, 0.1 * INCH_MM, modulus_mpa=30e6 * PSI_MPA) == pytest.approx(43.35, rel=0.0005)


def test_jindal_9_3_nut_factor_from_friction() -> None:
    assert nut_factor_of(18, 2.5, thread_friction=0.15, collar_friction=0.13) == pytest.approx(0.18343, rel=0.0001)


def test_jindal_9_5_and_9_6() -> None:
    assert torque_nm(14, 0.75 * 650 * 115, 0.2) == pytest.approx(156.97, rel=0.0001)
    assert torque_nm(20, 120_000, 0.18) == pytest.approx(432, rel=1e-9)
