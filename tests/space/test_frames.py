"""Which way things turn. x rearward, y right, z up, right-handed; turns about x, then y, then z."""

from __future__ import annotations

import numpy as np
import pytest
from space_referee import turn_matrix

from planner.model.shapes import Direction, Pose, Vec
from planner.space import pose_mm, rotated

REARWARD, RIGHT, UP = (1.0, 0.0, 0.0), (0.0, 1.0, 0.0), (0.0, 0.0, 1.0)
FORWARD, LEFT, DOWN = (-1.0, 0.0, 0.0), (0.0, -1.0, 0.0), (0.0, 0.0, -1.0)


@pytest.mark.parametrize(
    ("turn", "before", "after"),
    [
        ((0, 0, 90), REARWARD, RIGHT),
        ((0, 0, 90), RIGHT, FORWARD),
        ((0, 0, 90), UP, UP),
        ((90, 0, 0), RIGHT, UP),
        ((90, 0, 0), UP, LEFT),
        ((0, 90, 0), UP, REARWARD),
        ((0, 90, 0), REARWARD, DOWN),
        ((0, 0, -90), REARWARD, LEFT),
        ((90, 0, 90), RIGHT, UP),  # first up about x; the turn about z leaves it
        ((90, 90, 0), RIGHT, REARWARD),  # up first, then up to rearward
        ((0, 90, 90), UP, RIGHT),  # rearward first, then to the right
        ((0, 0, 450), REARWARD, RIGHT),
        ((0, 0, 180), REARWARD, FORWARD),
    ],
)
def test_quarter_turns_are_exact(turn: Vec, before: Vec, after: Vec) -> None:
    assert rotated(turn, before) == after


def test_any_turn_against_one_done_by_hand() -> None:
    rng = np.random.default_rng(1)
    for _ in range(50):
        turn = tuple(float(t) for t in rng.uniform(-200.0, 200.0, 3))
        point = tuple(float(t) for t in rng.uniform(-500.0, 500.0, 3))
        assert rotated(turn, point) == pytest.approx(tuple(turn_matrix(turn) @ np.array(point)), abs=1e-9)


def test_a_pose_turns_first_and_shifts_after() -> None:
    pose = Pose(at_mm=(1000.0, 200.0, -50.0), turn_deg=(0.0, 0.0, 90.0))
    assert pose_mm(pose, (10.0, 0.0, 5.0)) == pytest.approx((1000.0, 210.0, -45.0), abs=1e-9)


def test_every_turn_keeps_right_from_left() -> None:
    rng = np.random.default_rng(2)
    for _ in range(20):
        turn = tuple(float(t) for t in rng.uniform(-180.0, 180.0, 3))
        columns = np.array([rotated(turn, unit) for unit in (REARWARD, RIGHT, UP)]).T
        assert np.linalg.det(columns) == pytest.approx(1.0, abs=1e-12)


def test_to_forward_left_up_axes() -> None:
    # ISO 8855:2011: x forward, y left, z up. From x rearward, y right, z up the map is (x0 - x, -y, z): determinant
    # +1, so it is a half turn about z and a shift; flipping x alone is a mirror image (-1) that no pose can make.
    x0 = 1200.0
    pose = Pose(at_mm=(x0, 0.0, 0.0), turn_deg=(0.0, 0.0, 180.0))
    for point in ((100.0, 40.0, 7.0), (-30.0, -600.0, 900.0)):
        x, y, z = point
        assert pose_mm(pose, point) == pytest.approx((x0 - x, -y, z), abs=1e-9)
    assert np.linalg.det(np.diag([-1.0, -1.0, 1.0])) == pytest.approx(1.0)
    assert np.linalg.det(np.diag([-1.0, 1.0, 1.0])) == pytest.approx(-1.0)


def test_directions_in_words() -> None:
    assert Direction.FORWARDS.vector == FORWARD
    assert Direction.RIGHT.vector == RIGHT
    assert Direction.DOWN.vector == DOWN
