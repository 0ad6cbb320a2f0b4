"""Our axes against SAE J182 and ISO 4130:1978, as summarised by their publishers.

Zero Y is the vertical plane through the longitudinal centre line; zero X is usually laid in front of the vehicle, so
that x grows rearward and stays positive; zero Z is level. The planes are fixed once: where they lie changes no gap and
no relation. Three marks spread over the vehicle tie two surveys of it together; they lie in one plane, so they cannot
tell a vehicle from its mirror image, and a fourth mark out of that plane can.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from garage import part, vehicle, wall

from planner.knockon import present_faults
from planner.model.shapes import Direction, Vec
from planner.model.vehicle import Driver, FootBand, Keeps, Relation, Spot, Vehicle

MARKS: tuple[Vec, ...] = ((0.0, -350.0, 0.0), (0.0, 350.0, 0.0), (2100.0, 0.0, 40.0))
"""Three marks on the underside."""
HIGH_MARK: Vec = (820.0, 300.0, 760.0)


def fitted(marks: list[Vec], seen: list[Vec]) -> tuple[np.ndarray, float]:
    """Best turn (3, 3) from marks to the same marks seen in other axes, and the worst distance left over [mm].

    Source: Kabsch, Acta Crystallographica A32 (1976) 922, with the sign that forbids a mirror image.
    """
    first, second = np.array(marks), np.array(seen)
    first, second = first - first.mean(axis=0), second - second.mean(axis=0)
    left, _, right = np.linalg.svd(first.T @ second)
    sign = np.sign(np.linalg.det(right.T @ left.T))
    turn = right.T @ np.diag([1.0, 1.0, sign]) @ left.T
    return turn, float(np.linalg.norm(first @ turn.T - second, axis=1).max())


def test_x_grows_rearward_y_to_the_right_z_up() -> None:
    assert Direction.REARWARDS.vector == (1.0, 0.0, 0.0)
    assert Direction.RIGHT.vector == (0.0, 1.0, 0.0)
    assert Direction.UP.vector == (0.0, 0.0, 1.0)
    for there, back in (("FORWARDS", "REARWARDS"), ("LEFT", "RIGHT"), ("UP", "DOWN")):
        assert np.add(Direction[there].vector, Direction[back].vector).tolist() == [0.0, 0.0, 0.0]


def test_the_three_are_right_handed() -> None:
    """Whoever faces forward has rearward x right = up: the same as forward x left."""
    turned = np.cross(Direction.REARWARDS.vector, Direction.RIGHT.vector)
    assert turned.tolist() == list(Direction.UP.vector)
    assert np.cross(Direction.FORWARDS.vector, Direction.LEFT.vector).tolist() == list(Direction.UP.vector)


def shifted(v: Vehicle, by_mm: Vec) -> Vehicle:
    """The same vehicle measured from other zero planes."""

    def moved(at: Vec) -> Vec:
        x, y, z = np.add(at, by_mm).tolist()
        return (x, y, z)

    parts = {i: replace(c, pose=replace(c.pose, at_mm=moved(c.pose.at_mm))) for i, c in v.components.items()}
    driver = v.driver or Driver()
    heel = driver.heel or Spot()
    return replace(
        v,
        components=parts,
        ground_z_mm=v.ground_z_mm + by_mm[2],
        driver=replace(driver, heel=replace(heel, at_mm=moved(heel.at_mm))),
    )


def test_the_zero_planes_change_no_answer() -> None:
    """Two faults and a missed reach, with their numbers, wherever the zero planes are."""
    one, two = part("one", (60, 0, 500), (100, 100, 100)), part("two", (60, 88, 500), (100, 100, 100))
    rules = [
        Relation(id="ground", part="one", keeps=Keeps.OFF_GROUND, of=None, by_mm=760.0),
        Relation(id="foot", part="one", keeps=Keeps.FOOT_REACH, of=None, by_mm=0.0),
    ]
    foot = FootBand(low_mm=200.0, high_mm=240.0, low_words="", high_words="", source="")
    bare = vehicle([wall(), one, two], relations=rules)
    v = replace(bare, driver=Driver(heel=Spot(at_mm=(360.0, 0.0, 400.0)), foot=foot))
    told = [(f.kind, f.part, f.other, f.text) for f in present_faults(v)]
    assert len(told) == 3
    for by in ((1500.0, 0.0, 0.0), (-250.0, 40.0, 300.0)):
        assert [(f.kind, f.part, f.other, f.text) for f in present_faults(shifted(v, by))] == told


def test_three_marks_tie_two_surveys_together() -> None:
    seen: list[Vec] = [(900.0 - x, -y, z + 55.0) for x, y, z in MARKS]
    found, left_mm = fitted(list(MARKS), seen)
    assert left_mm == pytest.approx(0.0, abs=1e-9)
    assert np.linalg.det(found) == pytest.approx(1.0)
    assert found == pytest.approx(np.diag([-1.0, -1.0, 1.0]))


def test_a_fourth_mark_tells_a_mirror_image() -> None:
    three: list[Vec] = [(900.0 - x, y, z) for x, y, z in MARKS]
    assert fitted(list(MARKS), three)[1] == pytest.approx(0.0, abs=1e-9)
    four = [*three, (900.0 - HIGH_MARK[0], HIGH_MARK[1], HIGH_MARK[2])]
    assert fitted([*MARKS, HIGH_MARK], four)[1] > 100.0
