"""Sweeps: the whole volume a moving part passes through, never less than it and at most 0.5 mm more."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import NamedTuple

import numpy as np

from planner.model.shapes import Motion, Pose, Slide, Solid, Turn
from planner.model.vehicle import Component
from planner.space.body import Body, body_of, merged, solid_body
from planner.space.frames import FloatArray, axis_rotation, frame
from planner.space.pieces import (
    FLAT_MM,
    Bar,
    Hull,
    Piece,
    Placed,
    hull_piece,
    perpendiculars,
    unit,
)
from planner.space.solids import solid_pieces

EXCESS_MM = 0.5
"""How far a sweep may stand out beyond the volume truly passed through."""
ROUND_EXCESS_MM = 0.15
"""The share of it that is spent on the corners of the prism that stands for a round bar."""

_HALF_STEP_MAX = 0.2
_LOOKS = 180
_SAME_MM = 1e-6


class _Swing(NamedTuple):
    """A turn about the unit vector ``axis`` (3,) through zero, and the excess allowed to it."""

    axis: FloatArray
    angle_rad: float
    excess_mm: float


def swept_body(solids: Sequence[Solid], pose: Pose, motion: Motion) -> Body:
    """Everything that ``solids`` in the frame ``pose`` pass through in their motion.

    It never misses: the true sweep lies wholly inside. It stands out by at most 0.5 mm.
    """
    placed = solid_pieces(solids, pose)
    turn, shift = frame(pose)
    if isinstance(motion, Slide):
        way = turn @ unit(np.array(motion.along))
        return body_of([_slid(piece, way, motion) for piece in placed])
    axis = turn @ unit(np.array(motion.axis))
    about = turn @ np.array(motion.about_mm) + shift
    return body_of([step for piece in placed for step in _turned(piece, axis, about, motion)])


def component_body(component: Component, pose: Pose | None = None) -> Body:
    """Body of a part in its present pose or another one; a moving part's body is its sweep.

    The place in which it is drawn belongs to it even when its motion does not pass through it.
    """
    where = component.pose if pose is None else pose
    if component.motion is None:
        return solid_body(component.solids, where)
    swept = swept_body(component.solids, where, component.motion)
    ends = _ends(component.motion)
    if ends[0] <= 0.0 <= ends[1]:
        return swept
    return merged([swept, solid_body(component.solids, where)])


def _ends(motion: Motion) -> tuple[float, float]:
    """Tell the ends of the motion, the lesser first."""
    if isinstance(motion, Slide):
        return min(motion.from_mm, motion.to_mm), max(motion.from_mm, motion.to_mm)
    return min(motion.from_deg, motion.to_deg), max(motion.from_deg, motion.to_deg)


def core_points(piece: Piece) -> FloatArray:
    """Points (n, 3) whose hull holds the core: a round bar becomes the prism round it."""
    if isinstance(piece, Hull):
        return piece.points_mm
    half_angle = math.acos(piece.radius_mm / (piece.radius_mm + ROUND_EXCESS_MM))
    sides = max(8, math.ceil(math.pi / half_angle))
    return piece.ring_points_mm(sides, piece.radius_mm / math.cos(math.pi / sides))


def _slid(placed: Placed, way: FloatArray, motion: Slide) -> Placed:
    piece, place = placed
    first, last = _ends(motion)
    middle, travel = place + way * ((first + last) / 2.0), last - first
    if isinstance(piece, Bar) and abs(float(piece.axis @ way)) > 1.0 - 1e-12:
        return Bar(piece.axis, piece.radius_mm, piece.half_mm + travel / 2.0), middle
    points = core_points(piece) + middle
    half = way * (travel / 2.0)
    return hull_piece(np.vstack([points - half, points + half]), piece.ball_mm)


def _turned(placed: Placed, axis: FloatArray, about: FloatArray, motion: Turn) -> list[Placed]:
    piece, place = placed
    if isinstance(piece, Bar) and _is_about(piece.axis, place, axis, about):
        return [placed]
    first, last = (math.radians(end) for end in _ends(motion))
    points = core_points(piece) + place - about
    excess = EXCESS_MM - (ROUND_EXCESS_MM if isinstance(piece, Bar) else 0.0) - 2.0 * FLAT_MM
    steps = []
    for part in _parts(points, _Swing(axis, last - first, excess)):
        across = part - (part @ axis)[:, None] * axis
        count = _step_count(across, _Swing(axis, last - first, excess))
        half = (last - first) / (2.0 * count)
        for k in range(count):
            arc = _arc_points(part, across, axis, (first + (2 * k + 1) * half, half))
            steps.append(hull_piece(arc + about, piece.ball_mm))
    return steps


def _is_about(own: FloatArray, place: FloatArray, axis: FloatArray, about: FloatArray) -> bool:
    """Whether a bar lies on the axis of the turn."""
    away = np.cross(place - about, axis)
    return abs(float(own @ axis)) > 1.0 - _SAME_MM**2 and float(np.abs(away).max()) < _SAME_MM


def _parts(points: FloatArray, swing: _Swing) -> list[FloatArray]:
    """Points (n, 3) whole, or cut in two at the axis when the halves need fewer steps together."""
    axis = swing.axis
    across = points - (points @ axis)[:, None] * axis
    whole = _step_count(across, swing)
    longest = np.linalg.eigh(across.T @ across)[1][:, 2]
    side = points @ longest
    if whole <= 2 or side.min() >= -_SAME_MM or side.max() <= _SAME_MM:  # noqa: PLR2004 - halves take two at least
        return [points]
    halves = _cut(points, longest)
    counts = [_step_count(half - (half @ axis)[:, None] * axis, swing) for half in halves]
    return halves if sum(counts) < whole else [points]


def _cut(points: FloatArray, normal: FloatArray) -> list[FloatArray]:
    """Corners of the two halves of a hull cut by the plane through zero square to ``normal`` (3,)."""
    side = points @ normal
    ahead, behind = points[side >= 0.0], points[side <= 0.0]
    # Every point of the cut lies on a line from a corner ahead to one behind; the spare ones are inside.
    one, other = ahead[:, None, :], behind[None, :, :]
    span = np.maximum(side[side >= 0.0][:, None] - side[side <= 0.0][None, :], _SAME_MM)
    share = (side[side >= 0.0][:, None] / span)[:, :, None]
    rim = (one + share * (other - one)).reshape(-1, 3)
    return [_corners(np.vstack([half, rim])) for half in (ahead, behind)]


def _corners(points: FloatArray) -> FloatArray:
    """Corners (m, 3) of the hull of points (n, 3)."""
    piece, middle = hull_piece(points)
    return core_points(piece) + middle


def _step_count(across: FloatArray, swing: _Swing) -> int:
    """How many equal steps keep the excess of each step's hull within bounds.

    A point of the hull is the weighted mean of corners at angles within h of the middle one; turning all of them
    by one common angle instead gives a point of the true sweep. To first order in h the two differ by at most
    2 h times the half width (below) when the common angle is chosen so that they agree along the way the piece
    moves, and by at most h times the reach when it is the middle one. To second order they differ by at most
    reach h^2, half of it from the meeting points of the tangents.
    """
    reach = float(np.sqrt(np.einsum("ij,ij->i", across, across)).max())
    if reach < _SAME_MM or swing.angle_rad <= 0.0:
        return 1
    width = min(_half_width(across, swing.axis), reach / 2.0)
    half = (math.sqrt(width * width + reach * swing.excess_mm) - width) / reach
    return math.ceil(swing.angle_rad / (2.0 * min(half, _HALF_STEP_MAX)) - _SAME_MM)


def _half_width(across: FloatArray, axis: FloatArray) -> float:
    """Half width [mm] of the piece, seen along the radius that carries it, plus what lies behind the axis.

    The least over many radii, the piece's own long and short way among them.
    """
    angles = np.linspace(0.0, 2.0 * math.pi, _LOOKS, endpoint=False)
    around = np.column_stack([np.cos(angles), np.sin(angles)]) @ perpendiculars(axis)
    own = np.linalg.eigh(across.T @ across)[1].T[1:]
    radii = np.vstack([around, own, -own])
    behind = np.maximum(0.0, -(across @ radii.T).min(axis=0))
    beside = np.abs(across @ np.cross(axis, radii).T).max(axis=0)
    return float((beside + behind).min())


def _arc_points(points: FloatArray, across: FloatArray, axis: FloatArray, step: tuple[float, float]) -> FloatArray:
    """Points (3n, 3) whose hull holds every arc that ``points`` run through in one step about the axis.

    Each arc lies in the triangle of its two ends and the meeting point of the tangents there, which is the
    middle of the arc moved out to 1 / cos(half step) of its radius.
    """
    middle, half = step
    low, high = (points @ axis_rotation(axis, angle).T for angle in (middle - half, middle + half))
    outward = points + across * (1.0 / math.cos(half) - 1.0)
    return np.vstack([low, high, outward @ axis_rotation(axis, middle).T])
