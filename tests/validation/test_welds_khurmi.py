"""Khurmi and Gupta, A Textbook of Machine Design: circular fillet weld in torsion (value from memory).

A solid shaft of 50 mm welded to a plate by a 10 mm fillet all round, 80 MPa allowed: T = 2.22 kN m. The book rounds
2 / 0.707 to 2.83.
"""

import math

import pytest

from planner.sums.welds import aws_allowed_mpa, metal_shear_mpa, round_stress_mpa


def test_shaft_welded_to_a_plate() -> None:
    assert round_stress_mpa(2.22e6, 10, 50) == pytest.approx(80, rel=0.005)


def test_the_same_by_adding_up_small_runs() -> None:
    """The throat as a thin ring: torque = stress x area x radius of each piece, added up."""
    pieces = 10_000
    ring = sum(0.707 * 10 * (math.pi * 50 / pieces) * 25 for _ in range(pieces))
    assert round_stress_mpa(1e6, 10, 50) == pytest.approx(1e6 / ring, rel=1e-9)


def test_aws_allows_half_of_what_the_metal_shears_at() -> None:
    assert metal_shear_mpa(482.6) == pytest.approx(2 * aws_allowed_mpa(482.6))
