"""Weight transfer and stopping: Bevan, The Theory of Machines, p. 264; Beer & Johnston, Vector Mechanics, sample 16.1.

Bevan: wheelbase 9.5 ft, centre of gravity 2 ft up and 4 ft ahead of the rear axle (meaning deduced from the formulas),
30 mph, g 32.2. Sample 16.1: value from memory.
"""

import pytest
from inch_pound import FOOT_MM

from planner.sums.axle_loads import Stance, axle_loads_n, greatest_z
from planner.sums.basis import G

CAR = Stance(mass_kg=1000, wheelbase_mm=9.5 * FOOT_MM, ahead_of_rear_mm=4 * FOOT_MM, height_mm=2 * FOOT_MM)
SPEED_MS = 30 * 1609.344 / 3600


def feet(z: float) -> float:
    """Braking distance at an even deceleration of z g, v^2 / (2 z g)."""
    return SPEED_MS**2 / (2 * z * G) * 1000 / FOOT_MM


def ideal_ratio(z: float) -> float:
    """Front over rear brake force at which both axles are used alike: as their loads."""
    front, rear = axle_loads_n(CAR, z)
    return front / rear


@pytest.mark.parametrize(
    ("grip", "rear_ft", "front_ft", "all_ft", "ideal"),
    [(0.1, 530, 699, 301, 0.792), (0.6, 97.5, 104, 50.1, 1.21)],
)
def test_bevan(grip: float, rear_ft: float, front_ft: float, all_ft: float, ideal: float) -> None:
    assert feet(greatest_z(CAR, grip, 0.0)[0]) == pytest.approx(rear_ft, rel=0.005)
    assert feet(greatest_z(CAR, grip, 1.0)[0]) == pytest.approx(front_ft, rel=0.006)
    assert feet(grip) == pytest.approx(all_ft, rel=0.005)
    assert ideal_ratio(grip) == pytest.approx(ideal, rel=0.005)


def test_at_the_ideal_share_both_axles_lock_at_once() -> None:
    ratio = ideal_ratio(0.6)
    z, axle = greatest_z(CAR, 0.6, ratio / (1 + ratio))
    assert z == pytest.approx(0.6)
    more_front, locks = greatest_z(CAR, 0.6, ratio / (1 + ratio) + 0.1)
    assert (more_front < z, locks) == (True, "front")
    assert greatest_z(CAR, 0.6, ratio / (1 + ratio) - 0.1)[1] == "rear"
    assert axle in {"both", "front", "rear"}


@pytest.mark.parametrize("z", [0.0, 0.2, 0.5, 0.9])
def test_the_axle_loads_add_up_to_the_weight(z: float) -> None:
    front, rear = axle_loads_n(CAR, z)
    assert front + rear == pytest.approx(1000 * G)


def test_beer_and_johnston_16_1() -> None:
    truck = Stance(mass_kg=1000, wheelbase_mm=12 * FOOT_MM, ahead_of_rear_mm=5 * FOOT_MM, height_mm=4 * FOOT_MM)
    grip = 30**2 / (2 * 20 * 32.2)
    assert grip == pytest.approx(0.699, rel=0.001)
    front, rear = axle_loads_n(truck, grip)
    assert front / (1000 * G) == pytest.approx(0.650, rel=0.001)
    assert rear / (1000 * G) == pytest.approx(0.350, rel=0.002)
    assert grip * front / (1000 * G) / 2 == pytest.approx(0.227, rel=0.002)
    assert grip * rear / (1000 * G) / 2 == pytest.approx(0.122, rel=0.005)
