"""Inch grades: SAE J429 (as printed by bolt makers); clamp and torque of grade 2 at 75 % of proof, K 0.20 (a table).

The maker prints 11.5 ft lbf for 5/16-18 where its own formula gives 11.3: torque within 2.5 %. A table that gives grade
2 a tensile strength of 72 ksi is out: SAE J429 has 74.
"""

import pytest
from inch_pound import INCH_MM, LBF_N, PSI_MPA

from planner.sums.threads import inch_grade, stress_area_in2
from planner.sums.tightening import torque_nm

FTLBF_NM = 1.3558179483314
ROWS = [
    (0.25, 20, 0.0318, 1312, 5.4),
    (0.25, 28, 0.0364, 1502, 6.3),
    (5 / 16, 18, 0.0524, 2162, 11.5),
    (5 / 16, 24, 0.0580, 2397, 12.5),
    (3 / 8, 16, 0.0775, 3197, 20.0),
    (3 / 8, 24, 0.0878, 3622, 22.6),
    (7 / 16, 14, 0.1063, 4385, 32.0),
    (7 / 16, 20, 0.1187, 4896, 35.7),
    (0.5, 13, 0.1419, 5853, 48.8),
    (0.5, 20, 0.1599, 6600, 55.0),
]


@pytest.mark.parametrize(("size_in", "tpi", "area_in2", "clamp_lbf", "torque_ftlbf"), ROWS)
def test_area_clamp_and_torque(
    size_in: float, tpi: int, area_in2: float, clamp_lbf: float, torque_ftlbf: float
) -> None:
    area = stress_area_in2(size_in, tpi)
    assert area == pytest.approx(area_in2, rel=0.005)
    clamp = 0.75 * inch_grade("2", size_in).proof_mpa * area * INCH_MM**2
    assert clamp / LBF_N == pytest.approx(clamp_lbf, rel=0.005)
    assert torque_nm(size_in * INCH_MM, clamp, 0.20) / FTLBF_NM == pytest.approx(torque_ftlbf, rel=0.025)


@pytest.mark.parametrize(
    ("grade", "size_in", "proof", "yielding", "tensile"),
    [("2", 0.5, 55, 57, 74), ("5", 0.5, 85, 92, 120), ("5", 1.25, 74, 81, 105), ("8", 0.5, 120, 130, 150)],
)
def test_grades(grade: str, size_in: float, proof: float, yielding: float, tensile: float) -> None:
    found = inch_grade(grade, size_in)
    ksi = 1000 * PSI_MPA
    assert found.proof_mpa == pytest.approx(proof * ksi)
    assert found.yield_mpa == pytest.approx(yielding * ksi)
    assert found.tensile_mpa == pytest.approx(tensile * ksi)


def test_a_grade_that_is_not_made_in_that_size_is_refused() -> None:
    with pytest.raises(ValueError, match="no grade 8 of 2 in"):
        inch_grade("8", 2.0)
