"""Stress areas, strengths and loads of metric bolts: ISO 898-1 (1999 tables), as reprinted by bolt makers.

Cells at M4 10.9 with "91130" are a known misprint and not used. Fine-thread area M16 x 1.5: Jindal, Machine Design. The
tables round areas and loads to three figures: up to 0.65 %.
"""

import pytest

from planner.sums.threads import (
    METRIC_COARSE_PITCH_MM,
    metric_grade,
    proof_load_n,
    shear_load_n,
    stress_area_mm2,
)

AREAS = {5: 14.2, 6: 20.1, 8: 36.6, 10: 58.0, 12: 84.3, 14: 115.0, 16: 157.0}
PROOF = {
    "8.8": {5: 8230, 6: 11600, 8: 21200, 10: 33700, 12: 48900, 14: 66700, 16: 91000},
    "10.9": {5: 11800, 6: 16700, 8: 30400, 10: 48100, 12: 70000, 14: 95500, 16: 130000},
    "12.9": {5: 13800, 6: 19500, 8: 35500, 10: 56300, 12: 81800, 14: 112000},
}
ULTIMATE = {
    "4.6": {5: 5680, 6: 8040, 8: 14600, 10: 23200, 12: 33700, 16: 62800},
    "5.8": {5: 7380, 6: 10400, 8: 19000, 10: 30200, 12: 43800, 16: 81600},
    "8.8": {5: 11350, 6: 16100, 8: 29200, 10: 46400, 12: 67400, 16: 125000},
    "10.9": {5: 14800, 6: 20900, 8: 38100, 10: 60300, 12: 87700, 16: 163000},
    "12.9": {5: 17300, 6: 24500, 8: 44600, 10: 70800, 12: 103000, 16: 192000},
}


def area(size: int) -> float:
    return stress_area_mm2(size, METRIC_COARSE_PITCH_MM[size])


@pytest.mark.parametrize(("size", "printed"), AREAS.items())
def test_stress_areas(size: int, printed: float) -> None:
    assert area(size) == pytest.approx(printed, rel=0.005)


def test_a_fine_thread() -> None:
    assert stress_area_mm2(16, 1.5) == pytest.approx(167.2, rel=0.001)


@pytest.mark.parametrize(("grade", "size", "printed"), [(g, s, n) for g, row in PROOF.items() for s, n in row.items()])
def test_proof_loads(grade: str, size: int, printed: float) -> None:
    assert proof_load_n(area(size), metric_grade(grade, size)) == pytest.approx(printed, rel=0.0065)


@pytest.mark.parametrize(
    ("grade", "size", "printed"), [(g, s, n) for g, row in ULTIMATE.items() for s, n in row.items()]
)
def test_ultimate_loads(grade: str, size: int, printed: float) -> None:
    assert area(size) * metric_grade(grade, size).tensile_mpa == pytest.approx(printed, rel=0.007)


def test_large_bolts_of_class_8_8_have_their_own_row() -> None:
    assert metric_grade("8.8", 20).proof_mpa == 600
    assert metric_grade("8.8", 16).proof_mpa == 580


@pytest.mark.parametrize(("grade", "nominal"), [("5.8", (500, 400)), ("10.9", (1000, 900)), ("12.9", (1200, 1080))])
def test_the_figures_in_the_class_name_are_not_the_least_strengths(grade: str, nominal: tuple[float, float]) -> None:
    found = metric_grade(grade, 10)
    assert found.tensile_mpa > nominal[0]
    assert found.yield_mpa > nominal[1]


def test_shear_of_en_1993_1_8_and_its_lower_share_for_10_9() -> None:
    """Value from memory: alpha_v 0.6 for 8.8, 0.5 for 10.9."""
    assert shear_load_n(36.6, metric_grade("8.8", 8)) == pytest.approx(14_050, rel=0.001)
    assert shear_load_n(84.3, metric_grade("8.8", 12)) == pytest.approx(32_370, rel=0.001)
    assert shear_load_n(100, metric_grade("10.9", 10), partial_factor=1) == pytest.approx(0.5 * 1040 * 100)
