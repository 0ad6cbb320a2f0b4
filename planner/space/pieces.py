"""Convex pieces: the shapes every body is made of.

A piece is a convex core, centred on its own origin and already turned into vehicle axes, grown by a ball of
radius ``ball_mm`` (0 for a sharp-edged piece). Cores are either the hull of points or a flat-ended round bar;
both know their exact extent along any direction, which is what proves or refutes every distance.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Any

import fcl
import manifold3d
import numpy as np

from planner.space.frames import FloatArray
from planner.space.rims import Rims, rims_of_block, rims_of_line, rims_of_sides, rims_of_surface, sides_along
from planner.space.surfaces import (
    BALL,
    BAR_SIDES,
    Bends,
    Blades,
    IntArray,
    Skin,
    bends_of,
    blades_of,
    block_of,
    creases_of,
    skin_of_ball,
    skin_of_bar,
    skin_of_block,
    skin_of_capsule,
    skin_of_solid,
    skin_of_surface,
    surface_ways,
    ways_of,
)
from planner.space.vectors import crossing, perpendiculars, unit

FLAT_MM = 1e-3
"""A set of points thinner than twice this is treated as flat and thickened by it on both sides."""

LOOKS: FloatArray = np.array([
    [float(x), float(y), float(z)]
    for x in (0, 1) for y in (-1, 0, 1) for z in (-1, 0, 1) if (x, y, z) > (0, 0, 0) and abs(x) + abs(y) + abs(z) > 1
])  # fmt: skip
LOOKS /= np.linalg.norm(LOOKS, axis=1)[:, None]
"""Unit directions (k, 3) halfway between the axes, by which pairs of pieces are sorted."""

_SEGMENT = 2
_FEW = 24
"""Up to so many numbers the greatest is found sooner in a list than in an array."""
_BLUNT_MM = 1e-6
_SQUARE = math.sqrt(0.5)
_WAIST, _TIP = 0.96, 0.28
"""A round-ended bar of radius 1 holds a bar of radius 0.96 that is 0.28 longer than its straight part at each end."""
_NO_DIRECTIONS: FloatArray = np.zeros((0, 3))


@dataclass(frozen=True, eq=False)
class Hull:
    """Hull of ``points_mm`` (n, 3) grown by a ball.

    Either its ``ways`` are given - unit normals (k, 3) of the core's faces and unit directions (m, 3) of its
    edges, each once whichever way it points; a core without thickness lists normals that cover its flatness -
    or its ``triangles`` (t, 3), which index the points and run anticlockwise seen from outside. A line between two
    points needs neither. Of a ``mirrored`` hull the first half of the points lie across its origin from the others.
    """

    points_mm: FloatArray
    ball_mm: float = 0.0
    triangles: IntArray | None = None
    ways: tuple[FloatArray, FloatArray] | None = None
    mirrored: bool = False

    @cached_property
    def faces(self) -> FloatArray:
        """Unit normals (k, 3) of the core's faces, each once whichever way it points."""
        return self._ways[0]

    @cached_property
    def edges(self) -> FloatArray:
        """Unit directions (m, 3) of the core's edges, each once whichever way it points."""
        return self._ways[1]

    @cached_property
    def crossing(self) -> FloatArray:
        """What (3, 3 m) takes a vector to its cross products (m, 3), one after the other, with the core's edges."""
        return crossing(self.edges)

    @cached_property
    def _ways(self) -> tuple[FloatArray, FloatArray]:
        if self.ways is not None:
            return self.ways
        if self.triangles is None:
            if len(self.points_mm) != _SEGMENT:
                raise ValueError("a hull needs triangles or ways")
            axis = unit(self.points_mm[1] - self.points_mm[0])
            return perpendiculars(axis), axis[None, :]
        return ways_of(self.points_mm, self._bends)

    @cached_property
    def block(self) -> tuple[FloatArray, FloatArray] | None:
        """Middle and half sizes of a core that was given as a box."""
        return block_of(self.points_mm, self.faces) if self.triangles is None else None

    @cached_property
    def _bends(self) -> Bends:
        if self.triangles is None:
            raise ValueError("a hull without triangles has no surface")
        return bends_of(self.points_mm, self.triangles)

    @cached_property
    def creases(self) -> tuple[FloatArray, FloatArray, FloatArray] | None:
        """Every edge's unit direction, and the normals of the faces on either side of it, (m, 3) each.

        None for a core that was given its ways.
        """
        if self.triangles is None or self.ways is not None:
            return None
        return creases_of(self.points_mm, self._bends)

    @cached_property
    def rims(self) -> Rims:
        """Where the core's edges can meet the rim of a round bar."""
        if len(self.points_mm) == _SEGMENT:
            return rims_of_line(self.points_mm[0], self.edges[0], 0.0)
        if self.block is not None:
            return rims_of_block(self.faces, *self.block)
        if self.triangles is None:
            return rims_of_sides(self.points_mm, sides_along(self.points_mm, self.edges))
        return rims_of_surface(self.points_mm, self._bends)

    @cached_property
    def lows(self) -> tuple[FloatArray, FloatArray]:
        """Directions (k, 3) and the core's least coordinate (k,) [mm] along each.

        The normals of its faces, both ways, then the middles of the windows of its :attr:`rims`.
        """
        low, high = self.span(self.faces)
        return np.concatenate([self.faces, -self.faces, self.rims.ways]), np.concatenate([low, -high, self.rims.low_mm])

    def span(self, directions: FloatArray) -> tuple[FloatArray, FloatArray]:
        """Least and greatest coordinate (n,) [mm] of the core along each of ``directions`` (n, 3)."""
        # the longest side last, along which arrays are compared quickest
        along = self.points_mm @ directions.T
        return np.minimum.reduce(along), np.maximum.reduce(along)

    def reach_mm(self, direction: FloatArray) -> float:
        """Greatest coordinate [mm] of the core along one direction (3,)."""
        along = self.points_mm @ direction
        return max(along.tolist()) if len(along) <= _FEW else float(along.max())

    def farthest(self, direction: FloatArray) -> FloatArray:
        """Point (3,) [mm] of the core that lies farthest along ``direction`` (3,)."""
        farthest: FloatArray = self.points_mm[int(np.argmax(self.points_mm @ direction))]
        return farthest

    def is_blunt(self, direction: FloatArray) -> bool:
        """Whether more than one point of the core lies farthest along ``direction`` (3,)."""
        along = self.points_mm @ direction
        return int(np.count_nonzero(along > along.max() - _BLUNT_MM)) > 1

    @cached_property
    def faces_mm(self) -> FloatArray:
        """Least and greatest coordinate (2, k) [mm] of the whole piece along its own faces."""
        spans: FloatArray = np.stack(self.span(self.faces)) + np.array([[-self.ball_mm], [self.ball_mm]])
        return spans

    @cached_property
    def inside(self) -> Hull:
        """A sharp-edged hull inside the whole piece, nearly as large: the piece itself when it is one."""
        if self.ball_mm <= 0.0:
            return self
        if len(self.points_mm) == 1:
            return Bar(np.array([0.0, 0.0, 1.0]), _SQUARE * self.ball_mm, _SQUARE * self.ball_mm).inside
        if len(self.points_mm) > _SEGMENT:
            return Hull(self.points_mm, triangles=self.triangles, ways=self.ways, mirrored=self.mirrored)
        half = (self.points_mm[1] - self.points_mm[0]) / 2.0
        length = math.sqrt(float(half @ half))
        return Bar(half / length, _WAIST * self.ball_mm, length + _TIP * self.ball_mm).inside

    @cached_property
    def looks_mm(self) -> FloatArray:
        """Least and greatest coordinate (2, k) [mm] of the whole piece along :data:`LOOKS`."""
        low, high = self.span(LOOKS)
        return np.stack([low - self.ball_mm, high + self.ball_mm])

    @cached_property
    def box_mm(self) -> tuple[FloatArray, FloatArray]:
        """Low and high corner (3,) [mm] of the whole piece's box."""
        return self.points_mm.min(axis=0) - self.ball_mm, self.points_mm.max(axis=0) + self.ball_mm

    @cached_property
    def placed(self) -> Any:  # noqa: ANN401 - the collision library ships no types
        """The core as the collision library's object, at the origin."""
        return fcl.CollisionObject(self._geometry, fcl.Transform())

    def placed_at(self, shift_mm: FloatArray) -> Any:  # noqa: ANN401 - the collision library ships no types
        """The core as the collision library's object, shifted by ``shift_mm`` (3,): there until asked for again."""
        self._moving.setTranslation(shift_mm)
        return self._moving

    @cached_property
    def _moving(self) -> Any:  # noqa: ANN401 - the collision library ships no types
        return fcl.CollisionObject(self._geometry, fcl.Transform())

    @cached_property
    def _geometry(self) -> Any:  # noqa: ANN401 - the collision library ships no types
        # Faces are not needed: up to 32 points the library tries every point, and its neighbour walk beyond
        # that needs faces, which hulls of that size always carry.
        if self.triangles is None:
            return fcl.Convex(self.points_mm, 0, np.zeros(0, dtype=np.int32))
        threes = np.full((len(self.triangles), 1), 3)
        listed = np.hstack([threes, self.triangles]).astype(np.int32).ravel()
        return fcl.Convex(self.points_mm, len(self.triangles), listed)

    @cached_property
    def skin(self) -> Skin:
        """Faces and edges of :attr:`solid`."""
        if self.ball_mm > 0.0 and len(self.points_mm) <= _SEGMENT:
            line = len(self.points_mm) == _SEGMENT
            return skin_of_capsule(self.points_mm[1], self.ball_mm) if line else skin_of_ball(self.ball_mm)
        if self.ball_mm <= 0.0 and self.triangles is not None:
            return skin_of_surface(self.points_mm, self._bends)
        if self.ball_mm <= 0.0 and self.block is not None:
            return skin_of_block(self.points_mm, self.faces)
        return skin_of_solid(self.solid)

    @cached_property
    def blades(self) -> Blades:
        """Faces and edges of :attr:`skin` as cutting asks for them."""
        return blades_of(self.skin, self.box_mm)

    @cached_property
    def solid(self) -> Any:  # noqa: ANN401 - the hull library ships no types
        """The whole piece as a solid of flat faces; a ball is shown by points on it."""
        if self.ball_mm <= 0.0:
            return manifold3d.Manifold.hull_points(self.points_mm)
        ball = BALL * self.ball_mm
        return manifold3d.Manifold.hull_points((self.points_mm[:, None, :] + ball[None, :, :]).reshape(-1, 3))


@dataclass(frozen=True, eq=False)
class Bar:
    """A flat-ended round bar along the unit vector ``axis`` (3,)."""

    axis: FloatArray
    radius_mm: float
    half_mm: float
    ball_mm: float = 0.0

    @cached_property
    def rims(self) -> Rims:
        """Where the straight lines on its side can meet the rim of another bar."""
        return rims_of_line(np.zeros(3), self.axis, -self.radius_mm)

    @cached_property
    def lows(self) -> tuple[FloatArray, FloatArray]:
        """Directions (k, 3) and the least coordinate (k,) [mm] along each: of its ends, then as of a hull."""
        rims = self.rims
        low = np.concatenate([np.full(2, -self.half_mm), rims.low_mm + rims.flat_mm])
        return np.concatenate([self.faces, -self.faces, rims.ways]), low

    @cached_property
    def across(self) -> tuple[FloatArray, FloatArray]:
        """What (3, 3) takes a vector to its part square to the axis, and what to its cross product with the axis."""
        return np.eye(3) - self.axis[:, None] * self.axis, crossing(self.axis[None, :])

    def span(self, directions: FloatArray) -> tuple[FloatArray, FloatArray]:
        """Least and greatest coordinate (n,) [mm] along each of the unit ``directions`` (n, 3)."""
        along = np.abs(directions @ self.axis)
        across = np.sqrt(np.maximum(0.0, 1.0 - along * along))
        reach = self.half_mm * along + self.radius_mm * across
        return -reach, reach

    def reach_mm(self, direction: FloatArray) -> float:
        """Greatest coordinate [mm] along one unit direction (3,)."""
        along = abs(float(direction @ self.axis))
        return self.half_mm * along + self.radius_mm * math.sqrt(max(0.0, 1.0 - along * along))

    def farthest(self, direction: FloatArray) -> FloatArray:
        """Point (3,) [mm] of the bar that lies farthest along ``direction`` (3,)."""
        along = float(direction @ self.axis)
        across = direction - along * self.axis
        length = math.sqrt(float(across @ across))
        end: FloatArray = self.axis * (self.half_mm if along >= 0.0 else -self.half_mm)
        if length <= 1e-12 * (abs(along) + 1e-300):
            return end
        return end + across * (self.radius_mm / length)

    def is_blunt(self, direction: FloatArray) -> bool:
        """Whether more than one point of the bar lies farthest along the unit ``direction`` (3,)."""
        along = abs(float(direction @ self.axis))
        return along < _BLUNT_MM or along > 1.0 - _BLUNT_MM**2

    @cached_property
    def faces(self) -> FloatArray:
        """Unit normal (1, 3) of its flat ends."""
        return self.axis[None, :]

    @cached_property
    def edges(self) -> FloatArray:
        """Unit direction (1, 3) of the straight lines on its side."""
        return self.axis[None, :]

    @cached_property
    def faces_mm(self) -> FloatArray:
        """Least and greatest coordinate (2, k) [mm] of the whole piece along its own faces."""
        return np.stack(self.span(self.faces))

    @cached_property
    def looks_mm(self) -> FloatArray:
        """Least and greatest coordinate (2, k) [mm] of the whole piece along :data:`LOOKS`."""
        return np.stack(self.span(LOOKS))

    @cached_property
    def box_mm(self) -> tuple[FloatArray, FloatArray]:
        """Low and high corner (3,) [mm] of the whole piece's box."""
        return self.span(np.eye(3))

    @cached_property
    def placed(self) -> Any:  # noqa: ANN401 - the collision library ships no types
        """The bar as the collision library's object, at the origin."""
        return fcl.CollisionObject(self._geometry, fcl.Transform(self._turn, np.zeros(3)))

    def placed_at(self, shift_mm: FloatArray) -> Any:  # noqa: ANN401 - the collision library ships no types
        """The bar as the collision library's object, shifted by ``shift_mm`` (3,): there until asked for again."""
        self._moving.setTranslation(shift_mm)
        return self._moving

    @cached_property
    def _moving(self) -> Any:  # noqa: ANN401 - the collision library ships no types
        return fcl.CollisionObject(self._geometry, fcl.Transform(self._turn, np.zeros(3)))

    @cached_property
    def _geometry(self) -> Any:  # noqa: ANN401 - the collision library ships no types
        return fcl.Cylinder(self.radius_mm, 2.0 * self.half_mm)

    @cached_property
    def _turn(self) -> FloatArray:
        return np.column_stack([*perpendiculars(self.axis), self.axis])

    @cached_property
    def skin(self) -> Skin:
        """Faces and edges of :attr:`solid`."""
        return skin_of_bar(self.axis, self.radius_mm, self.half_mm)

    @cached_property
    def blades(self) -> Blades:
        """Faces and edges of :attr:`skin` as cutting asks for them."""
        return blades_of(self.skin, self.box_mm)

    @cached_property
    def solid(self) -> Any:  # noqa: ANN401 - the hull library ships no types
        """The bar as a solid of flat faces, its ring points on the true circle."""
        return manifold3d.Manifold.hull_points(self.ring_points_mm(BAR_SIDES, self.radius_mm))

    @cached_property
    def inside(self) -> Hull:
        """A prism in the bar whose corners lie on its rims."""
        turn: FloatArray = self._turn.T
        points = (_PRISM_POINTS * np.array([self.radius_mm, self.radius_mm, self.half_mm])) @ turn
        return Hull(points, ways=(_PRISM_FACES @ turn, _PRISM_EDGES @ turn), mirrored=True)

    def ring_points_mm(self, sides: int, radius_mm: float) -> FloatArray:
        """Corners (2 * sides, 3) [mm] of a prism along the bar with corners at ``radius_mm``."""
        angles = np.arange(sides) * (2.0 * math.pi / sides)
        first, second = perpendiculars(self.axis)
        ring = radius_mm * (np.cos(angles)[:, None] * first + np.sin(angles)[:, None] * second)
        return np.vstack([ring - self.half_mm * self.axis, ring + self.half_mm * self.axis])


_RING = tuple(k * math.pi / 6.0 for k in range(12))
_PRISM_POINTS: FloatArray = np.array([[math.cos(a), math.sin(a), z] for z in (-1.0, 1.0) for a in _RING])
_PRISM_FACES: FloatArray = np.array([
    [0.0, 0.0, 1.0],
    *([math.cos(a + math.pi / 12.0), math.sin(a + math.pi / 12.0), 0.0] for a in _RING[:6]),
])  # fmt: skip
_PRISM_EDGES: FloatArray = np.vstack([_PRISM_FACES[:1], np.cross(_PRISM_FACES[0], _PRISM_FACES[1:])])
"""A twelve-sided prism in the round bar of radius and half length 1 along z."""

Piece = Hull | Bar
"""One convex piece about its own origin."""

Placed = tuple[Piece, FloatArray]
"""A piece and where its origin lies (3,) [mm]."""


def find_ways(hulls: Iterable[Hull]) -> None:
    """Find faces and edges of many hulls at once, which takes much less time than one hull after the other."""
    wanted = [hull for hull in dict.fromkeys(hulls) if hull.ways is None and "_ways" not in vars(hull)]
    surfaces = [(hull.points_mm, hull.triangles) for hull in wanted if hull.triangles is not None]
    for hull, ways in zip((hull for hull in wanted if hull.triangles is not None), surface_ways(surfaces), strict=True):
        # where the cached property itself would put them
        vars(hull)["_ways"] = ways


def _rank_axes(points_mm: FloatArray) -> tuple[int, FloatArray]:
    """How many ways the points spread (0 to 3), and axes (3, 3) in rows, the widest first."""
    spread = points_mm - points_mm.mean(axis=0)
    axes: FloatArray = np.linalg.eigh(spread.T @ spread)[1].T[::-1]
    widths = np.ptp(points_mm @ axes.T, axis=0)
    return int(np.sum(widths > 2.0 * FLAT_MM)), axes


def hull_piece(points_mm: Sequence[FloatArray] | FloatArray, ball_mm: float = 0.0) -> Placed:
    """Hull of any points (n, 3) [mm] in vehicle axes, grown by a ball.

    Points that lie in a plane, on a line or in one place are thickened by ``FLAT_MM`` all round.
    """
    points = np.asarray(points_mm, dtype=np.float64)
    middle: FloatArray = (points.min(axis=0) + points.max(axis=0)) / 2.0
    local = points - middle
    rank, axes = _rank_axes(local)
    if rank == 0:
        return _point(ball_mm + FLAT_MM), middle
    if rank == 1:
        along = local @ axes[0]
        ends = local[[int(np.argmin(along)), int(np.argmax(along))]]
        return segment_piece(ends[0] + middle, ends[1] + middle, ball_mm + FLAT_MM)
    if rank == 2:  # noqa: PLR2004 - a plane has two ways to spread
        local = np.vstack([local - FLAT_MM * axes[2], local + FLAT_MM * axes[2]])
    return _solid_hull(local, ball_mm), middle


def segment_piece(start_mm: FloatArray, end_mm: FloatArray, ball_mm: float) -> Placed:
    """Straight line between two places (3,) [mm] grown by a ball: a round-ended bar."""
    middle: FloatArray = (start_mm + end_mm) / 2.0
    half = (end_mm - start_mm) / 2.0
    if float(half @ half) < FLAT_MM * FLAT_MM:
        return _point(ball_mm), middle
    return Hull(np.array([-half, half]), ball_mm, mirrored=True), middle


def _point(ball_mm: float) -> Hull:
    return Hull(np.zeros((1, 3)), ball_mm, ways=(np.eye(3), _NO_DIRECTIONS))


def _solid_hull(points_mm: FloatArray, ball_mm: float) -> Hull:
    """Hull of points with thickness."""
    mesh = manifold3d.Manifold.hull_points(points_mm).to_mesh64()
    corners: FloatArray = np.ascontiguousarray(np.asarray(mesh.vert_properties, dtype=np.float64)[:, :3])
    return Hull(corners, ball_mm, np.asarray(mesh.tri_verts, dtype=np.int64))
