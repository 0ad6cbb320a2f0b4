"""Poses compared: where a rigidly carried part ends up, and how one frame looks from another."""

from __future__ import annotations

import math

import numpy as np
import numpy.typing as npt

from planner.model.shapes import Pose, Vec

SAME_MM = 0.01
"""Two places nearer than this are one."""
_SAME_TURN = 1e-6

_Array = npt.NDArray[np.float64]


def turn_matrix(turn_deg: Vec) -> _Array:
    """Matrix (3, 3) of a turn about the fixed axes x, then y, then z [deg]."""
    x, y, z = (math.radians(angle) for angle in turn_deg)
    about_x = np.array([[1, 0, 0], [0, math.cos(x), -math.sin(x)], [0, math.sin(x), math.cos(x)]])
    about_y = np.array([[math.cos(y), 0, math.sin(y)], [0, 1, 0], [-math.sin(y), 0, math.cos(y)]])
    about_z = np.array([[math.cos(z), -math.sin(z), 0], [math.sin(z), math.cos(z), 0], [0, 0, 1]])
    matrix: _Array = about_z @ about_y @ about_x
    return matrix


def same_turn(a_deg: Vec, b_deg: Vec) -> bool:
    """Tell whether two turns leave a part facing the same way."""
    return bool(np.abs(turn_matrix(a_deg) - turn_matrix(b_deg)).max() <= _SAME_TURN)


def same_pose(a: Pose, b: Pose) -> bool:
    """Tell whether two poses are one."""
    return math.dist(a.at_mm, b.at_mm) <= SAME_MM and same_turn(a.turn_deg, b.turn_deg)


def seen_from(pose: Pose, frame: Pose) -> Pose:
    """Give ``pose`` as it looks from ``frame`` (both in vehicle axes)."""
    back = turn_matrix(frame.turn_deg).T
    at = back @ (np.array(pose.at_mm) - np.array(frame.at_mm))
    return Pose(at_mm=_vec(at), turn_deg=_angles(back @ turn_matrix(pose.turn_deg)))


def carried_along(before: Pose, after: Pose, host_before: Pose, host_after: Pose) -> bool:
    """Tell whether a part and its host keep their places towards each other, as when bolted together."""
    old, new = seen_from(before, host_before), seen_from(after, host_after)
    # Large arms turn rounding in the angles into small shifts.
    arm_mm = math.dist(before.at_mm, host_before.at_mm)
    return math.dist(old.at_mm, new.at_mm) <= SAME_MM + 1e-6 * arm_mm and same_turn(old.turn_deg, new.turn_deg)


def _vec(values: _Array) -> Vec:
    x, y, z = (float(value) for value in values)
    return (x, y, z)


def _angles(matrix: _Array) -> Vec:
    """Find the turns about x, then y, then z [deg] of a matrix (3, 3); at y = +/-90 the z turn is 0."""
    level = math.hypot(matrix[0, 0], matrix[1, 0])
    y = math.atan2(-matrix[2, 0], level)
    if level > 1e-9:  # noqa: PLR2004 rounding of a matrix entry
        x = math.atan2(matrix[2, 1], matrix[2, 2])
        z = math.atan2(matrix[1, 0], matrix[0, 0])
    else:
        x, z = math.atan2(-matrix[1, 2], matrix[1, 1]), 0.0
    return (math.degrees(x), math.degrees(y), math.degrees(z))
