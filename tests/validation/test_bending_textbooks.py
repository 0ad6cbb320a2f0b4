"""Beams: Pytel, Strength of Materials, 5.1; Gere, Mechanics of Materials, 5.3."""

import pytest
from inch_pound import INCH_MM, LBF_N, PSI_MPA

from planner.sums.sections import bending_mpa, round_tube, strip


def test_pytel_5_1() -> None:
    bar = strip(120, 200)
    assert bending_mpa(16e6, bar) == pytest.approx(20.0, rel=1e-9)
    assert 9.28e6 * 75 / bar.second_mm4 == pytest.approx(8.7, rel=1e-3)


def test_gere_5_3() -> None:
    beam = strip(8.75 * INCH_MM, 27 * INCH_MM)
    assert beam.modulus_mm3 / INCH_MM**3 == pytest.approx(1063.1, rel=1e-4)
    moment = 151.6e3 * 12 * LBF_N * INCH_MM
    assert bending_mpa(moment, beam) / PSI_MPA == pytest.approx(1711, rel=0.0005)


def test_a_tube_with_no_bore_is_refused() -> None:
    with pytest.raises(ValueError, match="leaves no bore"):
        round_tube(20, 10)
