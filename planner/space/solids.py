"""From the model's solids to convex pieces in vehicle axes."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

import numpy as np

from planner.model.shapes import Box, Cylinder, Mesh, Outline, Pose, Solid, Tube
from planner.space.bends import fillet
from planner.space.convex_cover import convex_cover
from planner.space.frames import AXES, FloatArray, frame
from planner.space.outlines import convex_parts
from planner.space.pieces import Bar, Hull, Placed, segment_piece
from planner.space.sound import refuse_unsound
from planner.space.vectors import distinct_directions

_CORNERS: FloatArray = np.array([[x, y, z] for x in (-0.5, 0.5) for y in (-0.5, 0.5) for z in (-0.5, 0.5)])
_SAME_MM = 1e-9
_OUTLINE_AXES = {"x": (1, 2, 0), "y": (0, 2, 1), "z": (0, 1, 2)}


def solid_pieces(solids: Sequence[Solid], pose: Pose) -> list[Placed]:
    """Convex pieces of ``solids`` given in the frame ``pose``.

    Raises
    ------
    ValueError
        When there is no solid, an outline or a mesh encloses nothing, or a solid has a number that no solid can have.

    """
    if not solids:
        raise ValueError("a body needs at least one solid")
    for solid in solids:
        refuse_unsound(solid)
    within = frame(pose)
    return [piece for solid in solids for piece in _pieces_of(solid, frame(solid.pose, within))]


def _pieces_of(solid: Solid, placing: tuple[FloatArray, FloatArray]) -> list[Placed]:
    if isinstance(solid, Box):
        return [_box(solid, *placing)]
    if isinstance(solid, Cylinder):
        turn, shift = placing
        axis = turn @ np.array(AXES[solid.along])
        return [(Bar(axis, solid.across_mm / 2.0, solid.length_mm / 2.0), shift)]
    if isinstance(solid, Tube):
        return _tube(solid, *placing)
    if isinstance(solid, Mesh):
        return _mesh(solid, *placing)
    return _outline(solid, *placing)


def _box(box: Box, turn: FloatArray, shift: FloatArray) -> Placed:
    axes: FloatArray = np.ascontiguousarray(turn.T)
    return Hull((_CORNERS * np.array(box.size_mm)) @ axes, ways=(axes, axes), mirrored=True), shift


def _tube(tube: Tube, turn: FloatArray, shift: FloatArray) -> list[Placed]:
    line = fillet(tube.through_mm, tube.bend_mm).points_mm if tube.bend_mm > 0.0 else tube.through_mm
    places = np.array(line) @ turn.T + shift
    ends = list(pairwise(places)) or [(places[0], places[0])]
    return [segment_piece(start, end, tube.across_mm / 2.0) for start, end in ends]


def _mesh(mesh: Mesh, turn: FloatArray, shift: FloatArray) -> list[Placed]:
    return [
        (
            Hull(np.ascontiguousarray(part.points_mm @ turn.T), part.ball_mm, part.triangles),
            turn @ part.place_mm + shift,
        )
        for part in convex_cover(mesh.surface).parts
    ]


def _outline(outline: Outline, turn: FloatArray, shift: FloatArray) -> list[Placed]:
    first, second, thick = _OUTLINE_AXES[outline.along]
    return [_prism(part, outline.thick_mm, (turn[:, first], turn[:, second], turn[:, thick]), shift)
            for part in convex_parts(outline.points_mm)]  # fmt: skip


def _prism(
    polygon: FloatArray, thick_mm: float, axes: tuple[FloatArray, FloatArray, FloatArray], shift: FloatArray
) -> Placed:
    """Upright prism on a convex anticlockwise ``polygon`` (n, 2) in the plane of the first two axes."""
    first, second, thick = axes
    middle = (polygon.min(axis=0) + polygon.max(axis=0)) / 2.0
    flat = (polygon - middle)[:, :1] * first + (polygon - middle)[:, 1:] * second
    sides = np.roll(flat, -1, axis=0) - flat
    points = np.vstack([flat - thick * (thick_mm / 2.0), flat + thick * (thick_mm / 2.0)])
    faces = distinct_directions(np.vstack([thick[None, :], np.cross(sides, thick)]))
    edges = distinct_directions(np.vstack([thick[None, :], sides]))
    across = np.roll(flat, len(flat) // 2, axis=0)
    mirrored = len(flat) % 2 == 0 and float(np.abs(flat + across).max()) < _SAME_MM
    hull = Hull(points, triangles=_prism_triangles(len(polygon)), ways=(faces, edges), mirrored=mirrored)
    return hull, shift + middle[0] * first + middle[1] * second


def _prism_triangles(count: int) -> np.ndarray[tuple[int, ...], np.dtype[np.int64]]:
    """Outward triangles (t, 3) of a prism whose lower ring is 0..count-1 and upper ring follows it."""
    ahead = [(k + 1) % count for k in range(count)]
    lower = [(0, k + 1, k) for k in range(1, count - 1)]
    upper = [(count, count + k, count + k + 1) for k in range(1, count - 1)]
    walls = [t for k in range(count)
             for t in ((k, ahead[k], count + ahead[k]), (k, count + ahead[k], count + k))]  # fmt: skip
    return np.array(lower + upper + walls, dtype=np.int64)
