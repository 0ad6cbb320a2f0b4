"""Wrong values in circulation: each has a test that it does not come out, and the table says which.

The trap of a companion to Gere, example 9.17 (a deflection printed as 0.0001024 in because E went in as psi and the
load as kips), is kept out by units: it has its test here.
"""

from __future__ import annotations

import ast
from pathlib import Path

import pytest

from planner.sums.sections import strip
from planner.sums.threads import metric_grade, stress_area_mm2
from planner.units import UnitError, parse_force, parse_length, parse_pressure

TRAPS = {
    "DOT 5.1 boils at 270/190 degC": ("test_brake_regulations.py", "test_boiling_points"),
    "plus instead of minus in a shoe's friction moment": (
        "test_drums_textbooks.py",
        "test_the_pivots_term_has_a_minus",
    ),
    "figures in a bolt's class name taken for its least strengths": (
        "test_bolts_iso898.py",
        "test_the_figures_in_the_class_name_are_not_the_least_strengths",
    ),
    "0.6 of tensile in shear for class 10.9": (
        "test_bolts_iso898.py",
        "test_shear_of_en_1993_1_8_and_its_lower_share_for_10_9",
    ),
    "a proof load of M4 10.9 printed as 91130": ("test_traps.py", "test_the_misprinted_load_of_m4"),
    "kips with psi in a deflection": ("test_traps.py", "test_kips_with_psi_are_a_thousand_times_out"),
    "a weld of 639 mm from 95/3 cut to 31": ("test_welds_textbooks.py", "test_jindal_12_2_with_the_fraction_kept"),
    "Barlow and the inside diameter mixed up": (
        "test_tube_esposito.py",
        "test_barlow_is_the_lower_of_the_two_for_brake_tube",
    ),
    "steam taken for water at 100 degC": ("test_coolant_tables.py", "test_at_100_degrees_water_is_not_taken_for_steam"),
    "x turned alone between axis systems": ("test_axes_iso8855.py", "test_the_map_turns_and_the_trap_mirrors"),
}


@pytest.mark.parametrize("trap", TRAPS)
def test_every_trap_has_its_test(trap: str) -> None:
    file, name = TRAPS[trap]
    tree = ast.parse((Path(__file__).parent / file).read_text(encoding="utf-8"))
    found = [x for x in tree.body if isinstance(x, ast.FunctionDef) and x.name == name]
    assert found, f"{file} has no {name}"
    told = any(isinstance(x, (ast.Assert, ast.With)) for x in ast.walk(found[0]))
    assert told, f"{name} claims nothing"


def test_kips_with_psi_are_a_thousand_times_out() -> None:
    """A cantilever of 1 x 2 in, 40 in long, under 1 kip, E 30e6 psi: F L3 / (3 E I) = 1.0667 in, by hand."""
    section = strip(25.4, 50.8)
    modulus = parse_pressure("30000000 psi")
    force, length = parse_force("1000 lbf"), parse_length("40 in", bare="mm").mm
    found = force * length**3 / (3.0 * modulus * section.second_mm4)
    assert found / 25.4 == pytest.approx(1000 * 40**3 / (3 * 30e6 * (1 * 2**3 / 12)), rel=1e-9)
    assert found / 25.4 != pytest.approx(1 * 40**3 / (3 * 30e6 * (1 * 2**3 / 12)), rel=0.5)
    with pytest.raises(UnitError):
        parse_pressure("30000000 lbf")


def test_the_misprinted_load_of_m4() -> None:
    """M4, pitch 0.7: A_s 8.78 mm2, at 1040 MPa 9130 N; a trade table prints 91130."""
    found = stress_area_mm2(4, 0.7) * metric_grade("10.9", 4).tensile_mpa
    assert found == pytest.approx(9130, rel=0.007)
