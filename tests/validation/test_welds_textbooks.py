"""Fillet welds: Jindal, Machine Design, 12-1 to 12-3; Popov, Engineering Mechanics of Solids, 1.8; EN 1993-1-8.

Jindal's companion prints 639 mm for 12-2 because it cut 95/3 to 31: that figure must not come out.
"""

import pytest
from inch_pound import INCH_MM, LBF_N, PSI_MPA

from planner.sums.welds import (
    aws_allowed_mpa,
    en_design_mpa,
    shared_lengths_mm,
    stress_mpa,
    throat_mm,
)


def test_jindal_12_1_and_12_3() -> None:
    assert stress_mpa(100_000, 8, 4 * 60) == pytest.approx(73.7, rel=0.001)
    assert stress_mpa(81_450, 12, 2 * 60) == pytest.approx(80, rel=0.0002)


def test_jindal_12_2_with_the_fraction_kept() -> None:
    """Two runs of 625.3 mm bear just the allowed 95 / 3 MPa; two of the companion's 639 mm do not."""
    assert stress_mpa(350_000, 12.5, 2 * 625.3) == pytest.approx(95 / 3, rel=0.001)
    assert stress_mpa(350_000, 12.5, 2 * 639) != pytest.approx(95 / 3, rel=0.01)


def test_aws_allowable_of_a_three_eighths_e70_fillet() -> None:
    kip_per_in = aws_allowed_mpa(70_000 * PSI_MPA) * throat_mm(3 / 8 * INCH_MM) * INCH_MM / LBF_N / 1000
    assert kip_per_in == pytest.approx(5.57, rel=0.001)


def test_popov_1_8_runs_at_both_edges_of_an_angle() -> None:
    total = 40 / 5.56
    first, second = shared_lengths_mm(total, 1.06, 3)
    assert first == pytest.approx(4.65, rel=0.002)
    assert second == pytest.approx(2.54, rel=0.002)


def test_en_1993_1_8_for_s275() -> None:
    """Value from memory."""
    assert en_design_mpa(430, 0.85) == pytest.approx(233.7, rel=0.0005)
