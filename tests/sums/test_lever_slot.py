"""The slot of an arm against a densely sampled motion: points of the arm's outline moved step by step."""

import math
import random
from itertools import pairwise

import pytest

from planner.sums.lever import Lever, LeverError, turned
from planner.sums.lever_slot import Arm, Sheet, slot


def lever(travel_deg: float) -> Lever:
    return Lever(
        pivot_mm=(0, 0),
        clevis_mm=(0, -60),
        pad_mm=(40, -300),
        mouth_mm=(-100, -60),
        push_deg=180,
        rod_mm=90,
        travel_deg=travel_deg,
    )


def sampled(arm: Arm, sheet: Sheet, travel_deg: float) -> tuple[float, float]:
    """Least and greatest place along the sheet of any sampled point of the arm that lies in it."""
    c, s = math.cos(math.radians(sheet.runs_deg)), math.sin(math.radians(sheet.runs_deg))
    inside = []
    for n in range(121):
        angle = travel_deg * n / 120
        line = [turned(p, (0, 0), angle) for p in arm.line_mm]
        for a, b in pairwise(line):
            length = math.dist(a, b)
            run = ((b[0] - a[0]) / length, (b[1] - a[1]) / length)
            for k in range(641):
                along = length * k / 640
                inside += [
                    (a[0] + run[0] * along - run[1] * off, a[1] + run[1] * along + run[0] * off)
                    for off in (-arm.width_mm / 2, arm.width_mm / 2)
                ]
            for end in (a, b):
                inside += [
                    (end[0] + arm.width_mm / 2 * math.cos(t), end[1] + arm.width_mm / 2 * math.sin(t))
                    for t in (2 * math.pi * m / 72 for m in range(72))
                ]
    places = []
    for x, z in inside:
        dx, dz = x - sheet.at_mm[0], z - sheet.at_mm[1]
        if abs(c * dz - s * dx) <= sheet.thickness_mm / 2:
            places.append(c * dx + s * dz)
    return min(places), max(places)


def test_random_arms_against_samples() -> None:
    dice, looked = random.Random(9), 0
    while looked < 10:
        line = ((0.0, 0.0), (dice.uniform(-20, 30), dice.uniform(-150, -100)), (dice.uniform(-40, 60), -300.0))
        arm = Arm(line_mm=line, width_mm=dice.uniform(8, 40), thick_mm=8)
        sheet = Sheet(
            at_mm=(dice.uniform(-20, 20), dice.uniform(-240, -60)),
            runs_deg=dice.uniform(-40, 40),
            thickness_mm=dice.uniform(4, 25),
        )
        travel = dice.choice([-1, 1]) * dice.uniform(5, 25)
        found = slot(lever(travel), arm, sheet, clear_mm=0)
        low, high = sampled(arm, sheet, travel)
        assert found.low_mm <= low + 1e-9
        assert found.high_mm >= high - 1e-9
        assert found.low_mm == pytest.approx(low, abs=0.3)
        assert found.high_mm == pytest.approx(high, abs=0.3)
        looked += 1


def test_a_straight_arm_through_a_thin_level_sheet_by_hand() -> None:
    """Arm of width 10 straight down, sheet 100 below: turned by a its sides cross at 100 tan(a) -+ 5 / cos(a)."""
    arm = Arm(line_mm=((0, 0), (0, -300)), width_mm=10, thick_mm=6)
    sheet = Sheet(at_mm=(0, -100), runs_deg=0, thickness_mm=1e-6)
    found = slot(lever(20), arm, sheet, clear_mm=3)
    a = math.radians(20)
    assert found.low_mm == pytest.approx(-5 - 3, abs=1e-5)
    assert found.high_mm == pytest.approx(100 * math.tan(a) + 5 / math.cos(a) + 3, abs=1e-5)
    assert found.wide_mm == 12
    assert (found.low_deg, found.high_deg) == (0, 20)
    assert found.long_mm == found.high_mm - found.low_mm


def test_a_thick_sheet_asks_for_more_than_its_middle() -> None:
    arm = Arm(line_mm=((0, 0), (0, -300)), width_mm=10, thick_mm=6)
    a = math.radians(20)
    found = slot(lever(20), arm, Sheet(at_mm=(0, -100), runs_deg=0, thickness_mm=20), clear_mm=0)
    assert found.high_mm == pytest.approx(110 * math.tan(a) + 5 / math.cos(a), abs=1e-6)


def test_an_arm_that_misses_the_sheet_is_told() -> None:
    arm = Arm(line_mm=((0, 0), (0, -50)), width_mm=10, thick_mm=6)
    with pytest.raises(LeverError, match="does not pass"):
        slot(lever(20), arm, Sheet(at_mm=(0, -100), runs_deg=0, thickness_mm=3), clear_mm=3)
