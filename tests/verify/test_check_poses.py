"""Turns about fixed axes, and poses seen from other frames."""

from random import Random

import numpy as np
import pytest

from planner.model.shapes import Pose
from planner.verify.poses import carried_along, same_pose, same_turn, seen_from, turn_matrix


def test_turns_are_about_fixed_axes_x_first() -> None:
    # By hand: a quarter turn about x takes y to z, then a quarter turn about y takes z to x.
    assert turn_matrix((90, 90, 0)) @ [0, 1, 0] == pytest.approx([1, 0, 0])
    # A quarter turn about y takes z to x, then a quarter turn about z takes x to y.
    assert turn_matrix((0, 90, 90)) @ [0, 0, 1] == pytest.approx([0, 1, 0])
    assert turn_matrix((90, 0, 0)) @ [0, 1, 0] == pytest.approx([0, 0, 1])
    assert turn_matrix((0, 0, 90)) @ [1, 0, 0] == pytest.approx([0, 1, 0])


def test_turns_that_look_different_and_are_one() -> None:
    assert same_turn((0, 0, 180), (0, 0, -180))
    assert same_turn((180, 180, 0), (0, 0, 180))
    assert not same_turn((0, 0, 0), (0, 0, 0.01))


@pytest.mark.parametrize("level_deg", [None, 90.0, -90.0])
def test_a_pose_seen_from_a_frame_and_set_back(level_deg: float | None) -> None:
    rng = Random(7)
    for _ in range(50):
        poses = [
            Pose(
                at_mm=(rng.uniform(-900, 900), rng.uniform(-900, 900), rng.uniform(-900, 900)),
                turn_deg=(rng.uniform(-180, 180), rng.uniform(-90, 90), rng.uniform(-180, 180)),
            )
            for _ in range(2)
        ]
        frame, pose = poses
        if level_deg is not None:
            frame = Pose(at_mm=frame.at_mm)
            pose = Pose(at_mm=pose.at_mm, turn_deg=(pose.turn_deg[0], level_deg, pose.turn_deg[2]))
        seen = seen_from(pose, frame)
        turn = turn_matrix(frame.turn_deg)
        x, y, z = turn @ np.array(seen.at_mm) + np.array(frame.at_mm)
        assert (x, y, z) == pytest.approx(pose.at_mm)
        assert turn @ turn_matrix(seen.turn_deg) == pytest.approx(turn_matrix(pose.turn_deg), abs=1e-7)


def test_a_bolted_part_goes_with_its_host() -> None:
    # The host turns a quarter about z where it stands; what was 100 mm behind it is 100 mm to its right.
    host, turned = Pose(at_mm=(500, 0, 0)), Pose(at_mm=(500, 0, 0), turn_deg=(0, 0, 90))
    part = Pose(at_mm=(600, 0, 50))
    assert carried_along(part, Pose(at_mm=(500, 100, 50), turn_deg=(0, 0, 90)), host, turned)
    assert not carried_along(part, Pose(at_mm=(500, 100, 50)), host, turned)
    assert not carried_along(part, Pose(at_mm=(500, 100.1, 50), turn_deg=(0, 0, 90)), host, turned)


def test_one_pose() -> None:
    assert same_pose(Pose(at_mm=(1, 2, 3)), Pose(at_mm=(1, 2, 3.001), turn_deg=(360, 0, 0)))
    assert not same_pose(Pose(at_mm=(1, 2, 3)), Pose(at_mm=(1, 2, 3.1)))
