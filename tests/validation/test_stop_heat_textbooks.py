"""Energy of a stop: Bhandari, Design of Machine Elements, 12.1; Jindal, Machine Design, 23-5."""

import math

import pytest

from planner.sums.discs import disc_torque_nmm, spin_energy_j, stop_heat


def test_bhandari_12_1() -> None:
    mass = 7200 * math.pi / 4 * 1.0**2 * 0.2
    inertia = mass * 0.5**2 / 2
    turning = 350 * 2 * math.pi / 60
    energy = spin_energy_j(inertia, turning)
    assert energy == pytest.approx(94_956.7, rel=1e-5)
    assert energy / (turning / 2 * 1.5) == pytest.approx(3454.36, rel=1e-5)


def test_jindal_23_5() -> None:
    found = stop_heat(1100, 65 / 3.6, 4, tyre_radius_m=0.22, brakes=4, sink_j_k=12 * 460, turning=1.1)
    assert found.stop_m == pytest.approx(36.11, rel=1e-3)
    assert found.brake_j == pytest.approx(49_308, rel=1e-3)
    assert found.brake_nm == pytest.approx(300.4, rel=1e-3)
    assert found.rise_k == pytest.approx(8.93, rel=1e-3)


def test_two_pads_rub_on_two_faces() -> None:
    """T = 2 mu F r: Mechanical Engineer's Data Handbook, p. 88."""
    assert disc_torque_nmm(4000, 0.4, 110) == pytest.approx(2 * 0.4 * 4000 * 110)
