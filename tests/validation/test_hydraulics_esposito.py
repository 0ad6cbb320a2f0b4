"""Pascal's law, the lever-and-cylinder chain and the squeeze of fluid: Esposito, Fluid Power, 3-4, 3-5 and 2-11.

Inches and pounds are turned into mm and N at the door. The companion prints 1053 lbf for 3-5, having rounded pi and the
pressure: 0.5 % is allowed.
"""

import pytest
from inch_pound import INCH_MM, LBF_N, PSI_MPA

from planner.sums.hydraulics import bore_area_mm2, piston_force_n, pressure_mpa, squeezed_mm3


def test_3_4_force_and_stroke_of_a_pair() -> None:
    ratio = 20 / 2
    assert 100 * ratio == 1000
    small, large = bore_area_mm2(10), bore_area_mm2(10 * ratio**0.5)
    assert large / small == pytest.approx(10)
    assert piston_force_n(pressure_mpa(100, 10), 10 * ratio**0.5) == pytest.approx(1000)
    assert 1.0 * small / large == pytest.approx(0.1)


def test_3_5_lever_pump_and_load() -> None:
    line_mpa = pressure_mpa(25 * 8 / 2 * LBF_N, 1.0 * INCH_MM)
    assert line_mpa / PSI_MPA == pytest.approx(127, rel=0.005)
    assert piston_force_n(line_mpa, 3.25 * INCH_MM) / LBF_N == pytest.approx(1056, rel=0.005)
    cycles = bore_area_mm2(3.25) * 10 / (bore_area_mm2(1.0) * 2)
    assert cycles == pytest.approx(52.8, rel=0.005)


def test_2_11_squeeze() -> None:
    volume = 10 * INCH_MM**3
    found = squeezed_mm3(volume, 1900 * PSI_MPA, 250_000 * PSI_MPA) / INCH_MM**3
    assert found == pytest.approx(0.076, rel=1e-9)


def test_a_chain_put_together_from_these() -> None:
    """No published figure: each link is one of the examples above, the numbers worked by hand."""
    line_mpa = pressure_mpa(500 * 6.0, 19.05)
    assert bore_area_mm2(19.05) == pytest.approx(285.02, rel=1e-4)
    assert line_mpa == pytest.approx(10.525, rel=1e-4)
    assert piston_force_n(line_mpa, 22.2) == pytest.approx(4074, rel=1e-3)
