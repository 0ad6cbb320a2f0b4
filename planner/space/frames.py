"""Frames: turning and shifting points from a part's frame into vehicle axes."""

from __future__ import annotations

import math
from functools import lru_cache

import numpy as np
import numpy.typing as npt

from planner.model.shapes import Pose, Vec

FloatArray = npt.NDArray[np.float64]
"""Double precision array; its shape is given in each docstring."""

AXES: dict[str, Vec] = {"x": (1.0, 0.0, 0.0), "y": (0.0, 1.0, 0.0), "z": (0.0, 0.0, 1.0)}
"""Unit vectors by axis name."""


def as_vec(point: FloatArray) -> Vec:
    """Plain tuple of an array of three numbers."""
    x, y, z = point.tolist()
    return (x, y, z)


def _cos_sin(angle_deg: float) -> tuple[float, float]:
    """Cosine and sine, exact at quarter turns so that parts turned by 90 degrees stay flush."""
    quarters, rest = divmod(angle_deg, 90.0)
    if rest == 0.0:
        return ((1.0, 0.0), (0.0, 1.0), (-1.0, 0.0), (0.0, -1.0))[int(quarters) % 4]
    angle = math.radians(angle_deg)
    return math.cos(angle), math.sin(angle)


@lru_cache(maxsize=4096)
def rotation(turn_deg: Vec) -> FloatArray:
    """Read-only matrix (3, 3) of a turn about fixed x, then y, then z [deg], right-handed: Rz @ Ry @ Rx."""
    (cx, sx), (cy, sy), (cz, sz) = (_cos_sin(angle) for angle in turn_deg)
    about_x = np.array([[1.0, 0.0, 0.0], [0.0, cx, -sx], [0.0, sx, cx]])
    about_y = np.array([[cy, 0.0, sy], [0.0, 1.0, 0.0], [-sy, 0.0, cy]])
    about_z = np.array([[cz, -sz, 0.0], [sz, cz, 0.0], [0.0, 0.0, 1.0]])
    matrix: FloatArray = about_z @ about_y @ about_x
    matrix.setflags(write=False)
    return matrix


def axis_rotation(axis: FloatArray, angle_rad: float) -> FloatArray:
    """Matrix (3, 3) of a right-handed turn about the unit vector ``axis`` (3,) by ``angle_rad`` [rad].

    Source: Rodrigues' rotation formula.
    """
    x, y, z = axis.tolist()
    cross = np.array([[0.0, -z, y], [z, 0.0, -x], [-y, x, 0.0]])
    sine, versine = math.sin(angle_rad), 1.0 - math.cos(angle_rad)
    matrix: FloatArray = np.eye(3) + sine * cross + versine * (cross @ cross)
    return matrix


def frame(pose: Pose, within: tuple[FloatArray, FloatArray] | None = None) -> tuple[FloatArray, FloatArray]:
    """Turn matrix (3, 3) and shift (3,) [mm] of ``pose``, itself given in the frame ``within``."""
    matrix, shift = rotation(pose.turn_deg), np.array(pose.at_mm)
    if within is None:
        return matrix, shift
    return within[0] @ matrix, within[0] @ shift + within[1]


def pose_mm(pose: Pose, point: Vec) -> Vec:
    """Vehicle axes place [mm] of a ``point`` given in the frame that ``pose`` sets down."""
    matrix, shift = frame(pose)
    return as_vec(matrix @ np.array(point) + shift)


def rotated(turn_deg: Vec, vec: Vec) -> Vec:
    """Return ``vec`` turned about fixed x, then y, then z [deg]."""
    return as_vec(rotation(turn_deg) @ np.array(vec))
