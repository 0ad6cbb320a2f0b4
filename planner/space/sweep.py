"""Sweeps: the whole volume a moving part passes through, never less than it and at most 0.5 mm more for each motion.

Several motions in a row are swept one after the other, the inner one first: the outer one carries along every piece of
the inner sweep. A rigid motion keeps distances, so what each sweep stands out adds up and no more. A wide part that
turns about its own middle takes a step for every fraction of a degree; where that would be more than ``MOST_PIECES``
the sweep is made coarser, and :func:`sweep_excess_mm` says by how much.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import NamedTuple

import numpy as np

from planner.model.shapes import Motion, Pose, Slide, Solid, Turn, steps_of
from planner.model.vehicle import Component
from planner.space.body import Body, body_of, merged, solid_body
from planner.space.frames import FloatArray, axis_rotation, frame
from planner.space.pieces import FLAT_MM, Bar, Hull, Piece, Placed, hull_piece
from planner.space.solids import solid_pieces
from planner.space.vectors import perpendiculars, unit

EXCESS_MM = 0.5
"""How far the sweep of one motion may stand out beyond the volume truly passed through."""
MOST_PIECES = 900
"""A sweep of more pieces than this is made coarser."""

_COARSER = (1.0, 2.0, 4.0, 8.0, 16.0)
"""Times ``EXCESS_MM``, tried in turn."""
_ROUND = 0.3
"""The share of the excess that is spent on the corners of the prism that stands for a round bar."""
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

    It never misses: the true sweep lies wholly inside. It stands out by at most :func:`sweep_excess_mm`.
    """
    return body_of(_swept(solids, pose, motion)[0])


def sweep_excess_mm(solids: Sequence[Solid], pose: Pose, motion: Motion) -> float:
    """How far the sweep of a motion may stand out beyond what is truly passed through [mm].

    ``EXCESS_MM`` for each motion in it, or a multiple where the sweep had to be made coarser.
    """
    return _swept(solids, pose, motion)[1]


def _swept(solids: Sequence[Solid], pose: Pose, motion: Motion) -> tuple[list[Placed], float]:
    """Pieces of a sweep and its excess [mm]: the finest that does with ``MOST_PIECES``."""
    still = solid_pieces(solids, pose)
    steps = steps_of(motion)
    for times in _COARSER:
        placed: list[Placed] | None = still
        last = times == _COARSER[-1]
        for step in steps:
            most = None if last else MOST_PIECES
            placed = None if placed is None else _one_step(placed, frame(pose), step, (EXCESS_MM * times, most))
        if placed is not None:
            return placed, EXCESS_MM * times * len(steps)
    raise AssertionError("the coarsest sweep has no limit")


def _one_step(
    placed: Sequence[Placed],
    within: tuple[FloatArray, FloatArray],
    step: Turn | Slide,
    limits: tuple[float, int | None],
) -> list[Placed] | None:
    """Every piece swept by one motion, given the excess [mm] and the most pieces; None when there would be more."""
    turn, shift = within
    excess_mm, most = limits
    if isinstance(step, Slide):
        way = turn @ unit(np.array(step.along))
        return [_slid(piece, way, step, excess_mm) for piece in placed]
    axis = turn @ unit(np.array(step.axis))
    about = turn @ np.array(step.about_mm) + shift
    arcs = [arc for piece in placed for arc in _arcs(piece, axis, about, (step, excess_mm))]
    if most is not None and sum(arc.steps for arc in arcs) > max(most, len(placed)):
        return None
    return [swept for arc in arcs for swept in _turned(arc, axis, about)]


def component_body(component: Component, pose: Pose | None = None) -> Body:
    """Body of a part in its present pose or another one; a moving part's body is its sweep.

    The place in which it is drawn belongs to it even when its motion does not pass through it.
    """
    where = component.pose if pose is None else pose
    if component.motion is None:
        return solid_body(component.solids, where)
    swept = swept_body(component.solids, where, component.motion)
    if all(low <= 0.0 <= high for low, high in map(_ends, steps_of(component.motion))):
        return swept
    return merged([swept, solid_body(component.solids, where)])


def _ends(motion: Turn | Slide) -> tuple[float, float]:
    """Tell the ends of the motion, the lesser first."""
    if isinstance(motion, Slide):
        return min(motion.from_mm, motion.to_mm), max(motion.from_mm, motion.to_mm)
    return min(motion.from_deg, motion.to_deg), max(motion.from_deg, motion.to_deg)


def core_points(piece: Piece, round_mm: float = _ROUND * EXCESS_MM) -> FloatArray:
    """Points (n, 3) whose hull holds the core: a round bar becomes a prism that stands out by ``round_mm`` at most."""
    if isinstance(piece, Hull):
        return piece.points_mm
    half_angle = math.acos(piece.radius_mm / (piece.radius_mm + round_mm))
    sides = max(8, math.ceil(math.pi / half_angle))
    return piece.ring_points_mm(sides, piece.radius_mm / math.cos(math.pi / sides))


def _slid(placed: Placed, way: FloatArray, motion: Slide, excess_mm: float) -> Placed:
    piece, place = placed
    first, last = _ends(motion)
    middle, travel = place + way * ((first + last) / 2.0), last - first
    if isinstance(piece, Bar) and abs(float(piece.axis @ way)) > 1.0 - 1e-12:
        return Bar(piece.axis, piece.radius_mm, piece.half_mm + travel / 2.0), middle
    points = core_points(piece, _ROUND * excess_mm) + middle
    half = way * (travel / 2.0)
    return hull_piece(np.vstack([points - half, points + half]), piece.ball_mm)


class _Arc(NamedTuple):
    """A part of a piece on its turn: points (n, 3) about the axis, their part across it, and its equal steps."""

    piece: Placed
    points: FloatArray
    across: FloatArray
    first_rad: float
    half_rad: float
    steps: int


def _arcs(placed: Placed, axis: FloatArray, about: FloatArray, turn: tuple[Turn, float]) -> list[_Arc]:
    """The parts of a piece, each with the steps it takes; one of no steps for a bar that lies on the axis."""
    piece, place = placed
    motion, excess_mm = turn
    if isinstance(piece, Bar) and _is_about(piece.axis, place, axis, about):
        return [_Arc(placed, np.zeros((0, 3)), np.zeros((0, 3)), 0.0, 0.0, 1)]
    first, last = (math.radians(end) for end in _ends(motion))
    round_mm = _ROUND * excess_mm
    points = core_points(piece, round_mm) + place - about
    swing = _Swing(axis, last - first, excess_mm - (round_mm if isinstance(piece, Bar) else 0.0) - 2.0 * FLAT_MM)
    arcs = []
    for part in _parts(points, swing):
        across = part - (part @ axis)[:, None] * axis
        count = _step_count(across, swing)
        arcs.append(_Arc(placed, part, across, first, (last - first) / (2.0 * count), count))
    return arcs


def _turned(arc: _Arc, axis: FloatArray, about: FloatArray) -> list[Placed]:
    if not len(arc.points):
        return [arc.piece]
    steps = []
    for k in range(arc.steps):
        corners = _arc_points(arc.points, arc.across, axis, (arc.first_rad + (2 * k + 1) * arc.half_rad, arc.half_rad))
        steps.append(hull_piece(corners + about, arc.piece[0].ball_mm))
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
