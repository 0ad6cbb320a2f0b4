"""Rigid motion of a group: what is bolted to a part goes where the part goes."""

from __future__ import annotations

import math

from planner.model.shapes import Pose, Vec

_Rows = tuple[Vec, Vec, Vec]


def follow(rider: Pose, host_before: Pose, host_after: Pose) -> Pose:
    """Pose of a rider when its host goes from one pose to another and takes it along.

    Parameters
    ----------
    rider, host_before, host_after : Pose
        Poses in vehicle axes; turns about x, then y, then z [deg].
    """
    if host_before.turn_deg == host_after.turn_deg:
        shift = tuple(b - a for a, b in zip(host_before.at_mm, host_after.at_mm, strict=True))
        return Pose(at_mm=added(rider.at_mm, (shift[0], shift[1], shift[2])), turn_deg=rider.turn_deg)
    change = _times(_rows(host_after.turn_deg), _transposed(_rows(host_before.turn_deg)))
    arm = added(rider.at_mm, host_before.at_mm, sign=-1.0)
    return Pose(
        at_mm=added(host_after.at_mm, _applied(change, arm)),
        turn_deg=_angles(_times(change, _rows(rider.turn_deg))),
    )


def added(a: Vec, b: Vec, *, sign: float = 1.0) -> Vec:
    """``a + sign * b``, component by component."""
    return (a[0] + sign * b[0], a[1] + sign * b[1], a[2] + sign * b[2])


def distance_mm(a: Vec, b: Vec) -> float:
    """Straight distance between two points [mm]."""
    return math.dist(a, b)


def _rows(turn_deg: Vec) -> _Rows:
    (sx, sy, sz) = (math.sin(math.radians(t)) for t in turn_deg)
    (cx, cy, cz) = (math.cos(math.radians(t)) for t in turn_deg)
    return (
        (cz * cy, cz * sy * sx - sz * cx, cz * sy * cx + sz * sx),
        (sz * cy, sz * sy * sx + cz * cx, sz * sy * cx - cz * sx),
        (-sy, cy * sx, cy * cx),
    )


def _transposed(m: _Rows) -> _Rows:
    a, b, c = zip(*m, strict=True)
    return ((a[0], a[1], a[2]), (b[0], b[1], b[2]), (c[0], c[1], c[2]))


def _dot(a: Vec, b: Vec) -> float:
    return a[0] * b[0] + a[1] * b[1] + a[2] * b[2]


def _times(a: _Rows, b: _Rows) -> _Rows:
    columns = _transposed(b)
    first, second, third = ((_dot(row, columns[0]), _dot(row, columns[1]), _dot(row, columns[2])) for row in a)
    return (first, second, third)


def _applied(m: _Rows, v: Vec) -> Vec:
    return (_dot(m[0], v), _dot(m[1], v), _dot(m[2], v))


def _angles(m: _Rows) -> Vec:
    """Turns about x, then y, then z [deg] that give the matrix; at ±90 deg about y the z turn is taken as 0."""
    if abs(m[2][0]) < 1.0 - 1e-12:
        x = math.atan2(m[2][1], m[2][2])
        y = -math.asin(m[2][0])
        z = math.atan2(m[1][0], m[0][0])
    else:
        z = 0.0
        y = math.copysign(math.pi / 2, -m[2][0])
        x = math.atan2(-m[1][2], m[1][1])
    return (math.degrees(x), math.degrees(y), math.degrees(z))
