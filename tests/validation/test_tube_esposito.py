"""Tube pressure: Esposito, Fluid Power with Applications, 10-3 to 10-5 (thin wall, on the inside diameter)."""

import pytest
from inch_pound import INCH_MM, PSI_MPA

from planner.sums.tube import FLARES, burst, fits_together, working_mpa


def thin_psi(outside_in: float, wall_in: float) -> float:
    return burst(outside_in * INCH_MM, wall_in * INCH_MM, 55_000 * PSI_MPA).thin_wall_mpa / PSI_MPA


def test_10_3_burst_and_working_pressure() -> None:
    found = thin_psi(1.250, 0.095)
    assert found == pytest.approx(9858, rel=0.0005)
    assert working_mpa(found, 8) == pytest.approx(1232, rel=0.0005)


def test_10_4_one_wall_fails_1000_psi_and_the_next_passes() -> None:
    assert working_mpa(thin_psi(1.0, 0.049), 8) == pytest.approx(747, rel=0.001)
    assert working_mpa(thin_psi(1.0, 0.065), 8) == pytest.approx(1027, rel=0.001)


def test_10_5_metric() -> None:
    assert burst(22, 1, 379).thin_wall_mpa / 8 * 10 == pytest.approx(47.4, rel=0.001)
    assert burst(28, 2, 379).thin_wall_mpa / 8 * 10 == pytest.approx(79.0, rel=0.001)


def test_barlow_is_the_lower_of_the_two_for_brake_tube() -> None:
    """3/16 in tube of 0.028 in wall; strength of SAE J527 (value from memory): recomputed by hand."""
    found = burst(4.75, 0.71, 290)
    assert found.barlow_mpa == pytest.approx(86.7, rel=0.001)
    assert found.thin_wall_mpa == pytest.approx(123.7, rel=0.001)
    assert found.barlow_mpa < found.thin_wall_mpa


def test_flares_and_their_nuts_do_not_mix() -> None:
    """ISO 4038 and SAE J533 do not interchange (value from memory)."""
    bubble, inverted = min(FLARES), max(FLARES)
    assert "bubble" in bubble
    assert fits_together(bubble, "M10x1")
    assert not fits_together(bubble, "3/8-24 UNF")
    assert fits_together(inverted, "3/8-24 UNF")
    assert not fits_together(inverted, "M10x1")
