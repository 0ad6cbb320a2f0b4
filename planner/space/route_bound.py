"""A length that no clear run between two places goes below: proved, not found.

A run from a to b crosses every plane square to the line between them. Where a disc of radius r about that line is shut
in such a plane, u from a and v from b, the run is at least sqrt(u^2 + r^2) + sqrt(v^2 + r^2) long. A cell of a grid in
the plane counts as shut when its middle lies deep enough in what is to be kept clear for the whole cell to do so.
"""

from __future__ import annotations

import math

import numpy as np
import numpy.typing as npt

from planner.model.shapes import Vec
from planner.space.frames import FloatArray
from planner.space.pieces import Bar, Piece
from planner.space.route_bends import along, unit_to
from planner.space.route_fence import Fence, Guard
from planner.space.vectors import perpendiculars

_SHARES = tuple(k / 8 for k in range(1, 8))
_CELLS = 14
"""Cells of the grid from its middle to its rim."""
_LEAST_CELL_MM = 3.0
_SURE_MM = 0.05
_SHORT_MM = 1.0


def bound_mm(fence: Fence, start_mm: Vec, finish_mm: Vec, most_mm: float) -> float:
    """Length [mm] that every clear line from one place to another reaches; looked for up to ``most_mm``."""
    far = math.dist(start_mm, finish_mm)
    best = far
    way = unit_to(start_mm, finish_mm)
    reach = math.sqrt(max(0.0, most_mm * most_mm - far * far)) / 2.0
    if far < _SHORT_MM or reach < _SHORT_MM:
        return min(far, most_mm)
    for share in _SHARES:
        shut_mm = _shut_disc_mm(fence, np.array(along(start_mm, way, share * far)), np.array(way), reach)
        best = max(best, math.hypot(share * far, shut_mm) + math.hypot((1.0 - share) * far, shut_mm))
    return min(best, most_mm)


def _shut_disc_mm(fence: Fence, middle: FloatArray, way: FloatArray, reach_mm: float) -> float:
    """Radius [mm] of a disc about ``middle`` (3,) and square to ``way`` (3,) that no clear line goes through."""
    cell = max(_LEAST_CELL_MM, reach_mm / _CELLS)
    half = cell * math.sqrt(0.5)
    count = math.ceil(reach_mm / cell)
    steps = cell * np.arange(-count, count + 1)
    first, second = perpendiculars(way)
    cells = middle + (steps[:, None, None] * first + steps[None, :, None] * second).reshape(-1, 3)
    away = np.linalg.norm(cells - middle, axis=1)
    shut = np.zeros(len(cells), dtype=bool)
    low, high = cells.min(axis=0), cells.max(axis=0)
    for guard in fence.guards:
        need = guard.keep_mm + fence.radius_mm - half - _SURE_MM
        near = np.all((guard.body.lows - need <= high) & (guard.body.highs + need >= low), axis=1)
        for k in np.flatnonzero(near).tolist():
            deep = _within(guard.body.pieces[k], cells - guard.body.places[k], need)
            shut |= deep & _uneased(guard, cells, half)
    # Any two neighbouring cells touch: the nearest open cell is open from half its diagonal nearer on.
    open_mm = float(away[~shut].min(initial=count * cell))
    return max(0.0, open_mm - half)


def _uneased(guard: Guard, cells: FloatArray, half_mm: float) -> npt.NDArray[np.bool_]:
    kept = np.ones(len(cells), dtype=bool)
    for ease in guard.eased:
        kept &= np.linalg.norm(cells - np.array(ease.at_mm), axis=1) > ease.reach_mm + half_mm
    return kept


def _within(piece: Piece, points: FloatArray, need_mm: float) -> npt.NDArray[np.bool_]:
    """Which points (n, 3) about a piece's origin surely lie within ``need_mm`` of it; negative: that deep in it."""
    reach = need_mm + piece.ball_mm
    if isinstance(piece, Bar):
        on = points @ piece.axis
        off = np.linalg.norm(points - on[:, None] * piece.axis, axis=1)
        beyond = np.stack([np.abs(on) - piece.half_mm, off - piece.radius_mm], axis=1)
        return _far(beyond) <= reach
    if len(piece.points_mm) <= 2:  # noqa: PLR2004 - a round-ended bar is a line of two points
        a, b = piece.points_mm[0], piece.points_mm[-1]
        length2 = float((b - a) @ (b - a))
        share = np.clip((points - a) @ (b - a) / length2, 0.0, 1.0)[:, None] if length2 > 0.0 else 0.0
        return np.asarray(np.linalg.norm(points - a - share * (b - a), axis=1) <= reach)
    normals = np.vstack([piece.faces, -piece.faces])
    heights = points @ normals.T - piece.span(normals)[1]
    # From where it pokes out a point is moved back by what may be kept: inside then, it was no farther than that.
    back = points - np.clip(heights.max(axis=1), 0.0, max(reach, 0.0))[:, None] * normals[heights.argmax(axis=1)]
    inside = (back @ normals.T - piece.span(normals)[1]).max(axis=1)
    return np.asarray(inside <= min(reach, 0.0) - (_SURE_MM if reach < 0.0 else -1e-9))


def _far(beyond: FloatArray) -> FloatArray:
    """Signed distance from how far a point lies beyond two square faces (n, 2)."""
    outside = np.linalg.norm(np.maximum(beyond, 0.0), axis=1)
    return np.asarray(np.where(outside > 0.0, outside, beyond.max(axis=1)))
