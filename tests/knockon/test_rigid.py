"""Riders on their hosts, against 4 x 4 matrices."""

from __future__ import annotations

from random import Random

import numpy as np
import pytest

from planner.knockon.rigid import follow
from planner.model.shapes import Pose


def turn(axis: int, degrees: float) -> np.ndarray:
    c, s = np.cos(np.radians(degrees)), np.sin(np.radians(degrees))
    i, j = [(1, 2), (2, 0), (0, 1)][axis]
    m = np.eye(4)
    m[i, i] = m[j, j] = c
    m[i, j], m[j, i] = -s, s
    return m


def matrix(pose: Pose) -> np.ndarray:
    """Turn about vehicle x, then y, then z, then shift."""
    m = turn(2, pose.turn_deg[2]) @ turn(1, pose.turn_deg[1]) @ turn(0, pose.turn_deg[0])
    m[:3, 3] = pose.at_mm
    return m


def random_pose(rng: Random) -> Pose:
    x, y, z = (rng.uniform(-2000, 2000) for _ in range(3))
    if rng.random() < 0.5:
        a, b, c = (rng.choice([-180.0, -90.0, 0.0, 90.0, 180.0]) for _ in range(3))
    else:
        a, b, c = (rng.uniform(-180, 180) for _ in range(3))
    return Pose(at_mm=(x, y, z), turn_deg=(a, b, c))


@pytest.mark.parametrize("seed", range(300))
def test_rider_keeps_its_place_on_its_host(seed: int) -> None:
    rng = Random(seed)
    rider, before, after = (random_pose(rng) for _ in range(3))
    expected = matrix(after) @ np.linalg.inv(matrix(before)) @ matrix(rider)
    np.testing.assert_allclose(matrix(follow(rider, before, after)), expected, atol=1e-6)


def test_plain_shift_keeps_the_turn_as_written() -> None:
    rider = Pose(at_mm=(1, 2, 3), turn_deg=(10, 370, 30))
    host = Pose(at_mm=(5, 5, 5), turn_deg=(1, 2, 3))
    gone = Pose(at_mm=(6, 7, 8), turn_deg=(1, 2, 3))
    assert follow(rider, host, gone) == Pose(at_mm=(2, 4, 6), turn_deg=(10, 370, 30))


def test_there_and_back_again() -> None:
    rng = Random(7)
    for _ in range(50):
        rider, one, two = (random_pose(rng) for _ in range(3))
        back = follow(follow(rider, one, two), two, one)
        np.testing.assert_allclose(matrix(back), matrix(rider), atol=1e-5)
