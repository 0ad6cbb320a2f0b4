"""Our axes against those of ISO 8855:2011: X forward, Y to the left, Z up, right-handed.

Ours are x rearward, y to the right, z up. The map (x, y, z) -> (x0 - x, -y, z) between the two turns half round the
vertical: its determinant is +1. The trap is to turn x alone, which is a mirror image (determinant -1): a left-hand
thread, a driver on the wrong side. Nothing in the package writes ISO 8855 coordinates, so the map lives here.
"""

from __future__ import annotations

import math
from collections.abc import Callable

import numpy as np
import pytest

from planner.model.shapes import Direction, Pose, Vec
from planner.space import pose_mm, rotated

X0 = 1000.0
"""Where the origin of the ISO axes lies along our x [mm]."""
CORNERS: tuple[Vec, ...] = ((0, 0, 0), (120, 0, 0), (0, 70, 0), (0, 0, 45))
"""Corners of a bracket that is not its own mirror image: arms of 120, 70 and 45."""
POSES = [
    Pose(at_mm=(905.0, -320.0, 640.0)),
    Pose(at_mm=(905.0, -320.0, 640.0), turn_deg=(90.0, 0.0, 0.0)),
    Pose(at_mm=(300.0, 250.0, 100.0), turn_deg=(0.0, 90.0, 0.0)),
    Pose(at_mm=(300.0, 250.0, 100.0), turn_deg=(0.0, 0.0, 90.0)),
    Pose(at_mm=(-40.0, 12.0, 77.0), turn_deg=(30.0, -50.0, 110.0)),
    Pose(at_mm=(2100.0, 0.0, -60.0), turn_deg=(-17.0, 80.0, -165.0)),
]


def to_iso(point: Vec) -> Vec:
    x, y, z = point
    return (X0 - x, -y, z)


def mirrored(point: Vec) -> Vec:
    """The trap: only x is turned about."""
    x, y, z = point
    return (X0 - x, y, z)


def handedness(corners: list[Vec]) -> float:
    """Signed volume [mm3] of the block that three edges from the first corner span."""
    first, *others = (np.array(c) for c in corners)
    return float(np.linalg.det(np.array([c - first for c in others])))


def linear_part(change: Callable[[Vec], Vec]) -> np.ndarray:
    zero = np.array(change((0.0, 0.0, 0.0)))
    return np.array([np.array(change(e)) - zero for e in ((1.0, 0.0, 0.0), (0.0, 1.0, 0.0), (0.0, 0.0, 1.0))]).T


def about(axis: int, angle_deg: float, point: np.ndarray) -> np.ndarray:
    """Right-hand turn about one axis of a right-handed frame, written out in the plane it happens in."""
    first, second = (axis + 1) % 3, (axis + 2) % 3
    cosine, sine = math.cos(math.radians(angle_deg)), math.sin(math.radians(angle_deg))
    turned = point.astype(float).copy()
    turned[first] = cosine * point[first] - sine * point[second]
    turned[second] = sine * point[first] + cosine * point[second]
    return turned


def in_iso_axes(pose: Pose, point: Vec) -> np.ndarray:
    """The same turns worked out in the ISO axes alone: X and Y point the other way, so those turns change sign."""
    x_deg, y_deg, z_deg = pose.turn_deg
    own = np.array([-point[0], -point[1], point[2]])
    for axis, angle in ((0, -x_deg), (1, -y_deg), (2, z_deg)):
        own = about(axis, angle, own)
    return own + np.array(to_iso(pose.at_mm))


def test_the_map_turns_and_the_trap_mirrors() -> None:
    assert np.linalg.det(linear_part(to_iso)) == pytest.approx(1.0)
    assert np.linalg.det(linear_part(mirrored)) == pytest.approx(-1.0)


def test_the_directions_of_iso_8855() -> None:
    """Forward, left and up come out as +X, +Y and +Z, seen from the new origin."""
    turned = linear_part(to_iso)
    for direction, axis in ((Direction.FORWARDS, 0), (Direction.LEFT, 1), (Direction.UP, 2)):
        assert (turned @ np.array(direction.vector)).tolist() == np.eye(3)[axis].tolist()


@pytest.mark.parametrize("pose", POSES)
def test_there_and_back(pose: Pose) -> None:
    for corner in CORNERS:
        here = pose_mm(pose, corner)
        assert to_iso(to_iso(here)) == pytest.approx(here)


@pytest.mark.parametrize("pose", POSES)
def test_a_posed_bracket_is_the_same_thing_in_both_axes(pose: Pose) -> None:
    """Turning in our axes and then changing axes is turning in the ISO axes: x, then y, then z, right-hand rule."""
    for corner in CORNERS:
        assert to_iso(pose_mm(pose, corner)) == pytest.approx(in_iso_axes(pose, corner), abs=1e-9)


@pytest.mark.parametrize("pose", POSES)
def test_a_mirror_image_is_caught(pose: Pose) -> None:
    """The volume keeps its sign through our poses and through the map; through the trap it does not."""
    posed = [pose_mm(pose, c) for c in CORNERS]
    assert handedness(posed) == pytest.approx(120 * 70 * 45)
    assert handedness([to_iso(c) for c in posed]) == pytest.approx(120 * 70 * 45)
    assert handedness([mirrored(c) for c in posed]) == pytest.approx(-120 * 70 * 45)


def test_the_order_of_the_turns_counts() -> None:
    """x, then y, then z about fixed axes, by hand: z goes to -y about x, and from there to x about z."""
    assert rotated((90.0, 0.0, 0.0), (0.0, 0.0, 1.0)) == pytest.approx((0.0, -1.0, 0.0))
    assert rotated((90.0, 0.0, 90.0), (0.0, 0.0, 1.0)) == pytest.approx((1.0, 0.0, 0.0))
    assert rotated((90.0, 90.0, 0.0), (0.0, 0.0, 1.0)) == pytest.approx((0.0, -1.0, 0.0))
    assert rotated((0.0, 90.0, 90.0), (0.0, 0.0, 1.0)) == pytest.approx((0.0, 1.0, 0.0))


def test_a_driver_on_the_right_stays_on_the_right() -> None:
    """Right of the centre line is -Y in ISO 8855; the trap would put the wheel on the left."""
    wheel: Vec = (1100.0, 300.0, 700.0)
    assert to_iso(wheel)[1] < 0.0 < mirrored(wheel)[1]
