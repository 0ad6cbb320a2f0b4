"""Surfaces of convex solids: where they bend, and their faces and edges as one solid that others can be cut by."""

from __future__ import annotations

import math
from collections.abc import Sequence
from functools import lru_cache
from typing import Any, NamedTuple

import manifold3d
import numpy as np
import numpy.typing as npt

from planner.space.frames import FloatArray
from planner.space.vectors import cross, distinct_in_groups, perpendiculars, sphere_directions

IntArray = npt.NDArray[np.int64]
"""Indices; the shape is given in each docstring."""

BALL: FloatArray = sphere_directions(12)
"""Directions (k, 3) of the points by which a ball is shown."""
BAR_SIDES = 24
"""Sides of the prism by which a round bar is shown."""

_BLOCK_CORNERS = 8
_BLOCK_EDGES: IntArray = np.array([[k, k + step] for step in (1, 2, 4) for k in range(8) if not k & step])
BLOCK_SIGNS: FloatArray = np.array([[x, y, z] for x in (-1.0, 1.0) for y in (-1.0, 1.0) for z in (-1.0, 1.0)])
"""Corners (8, 3) of a box in the order of a count in twos."""
_SAME_MM = 1e-9
_HAIR_MM = 1e-9
_TINY = 1e-9


class Skin(NamedTuple):
    """Faces and edges of a flat-sided convex solid: a point p is in it when normals . p <= offsets.

    ``normals`` (k, 3) point outwards, ``offsets_mm`` (k,); its corners ``corners_mm`` (v, 3), points inside among them;
    edges run between the corners of ``ends`` (m, 2), by ``ways_mm`` (m, 3).
    """

    normals: FloatArray
    offsets_mm: FloatArray
    corners_mm: FloatArray
    ends: IntArray
    ways_mm: FloatArray


class Blades(NamedTuple):
    """Faces and edges of a flat-sided convex solid as cutting it and cutting by it ask for them.

    ``faces`` (k, 6) are the normals and their sizes without sign, ``offsets_mm`` (k,) a hair outside. ``edges`` (12, m)
    are where each begins, where it leads from there, and a hair more than its box: minus the high corner, the low
    corner. ``reach_mm`` (6,) are minus the low and the high corner of the whole.
    """

    faces: FloatArray
    offsets_mm: FloatArray
    edges: FloatArray
    reach_mm: FloatArray


class Bends(NamedTuple):
    """A surface of triangles: their normals (t, 3), their areas twice over (t,), and where it truly bends.

    ``sides`` (m, 2) are those edges by their corners, ``owners`` (m, 2) the two triangles that meet there.
    """

    normals: FloatArray
    areas_mm2: FloatArray
    sides: IntArray
    owners: IntArray


def bends_of(corners: FloatArray, triangles: IntArray) -> Bends:
    """Where a closed surface of ``triangles`` (t, 3) over ``corners`` (n, 3) [mm] bends."""
    a, b, c = (corners[triangles[:, k]] for k in range(3))
    normals = cross(b - a, c - a)
    lengths = np.sqrt(np.einsum("ij,ij->i", normals, normals))
    normals /= np.maximum(lengths, _TINY**2)[:, None]
    sides = np.concatenate([triangles[:, [0, 1]], triangles[:, [1, 2]], triangles[:, [2, 0]]])
    owners = np.concatenate([np.arange(len(triangles))] * 3)
    ends = np.sort(sides, axis=1)
    order = np.lexsort((ends[:, 1], ends[:, 0]))
    first, second = order[0::2], order[1::2]
    bent = np.einsum("ij,ij->i", normals[owners[first]], normals[owners[second]]) < 1.0 - _TINY**1.5
    pairs = np.stack([owners[first[bent]], owners[second[bent]]], axis=1)
    return Bends(normals, lengths, sides[first[bent]], pairs)


def surface_ways(surfaces: Sequence[tuple[FloatArray, IntArray]]) -> list[tuple[FloatArray, FloatArray]]:
    """Normals of the faces (k, 3) and directions of the edges (m, 3) at which closed surfaces truly bend.

    Each direction once, whichever way it points. All surfaces at once: their corners (n, 3) [mm] and triangles (t, 3).
    """
    if not surfaces:
        return []
    sizes, counts = ([len(own[k]) for own in surfaces] for k in (0, 1))
    shifts: IntArray = np.repeat(np.cumsum(sizes) - sizes, counts).astype(np.int64)
    corners = np.concatenate([own for own, _ in surfaces])
    triangles: IntArray = np.concatenate([own for _, own in surfaces])
    triangles = triangles + shifts[:, None]
    owner = np.repeat(np.arange(len(surfaces)), counts)
    return _ways_of(corners, bends_of(corners, triangles), owner, len(surfaces))


def ways_of(corners: FloatArray, bends: Bends) -> tuple[FloatArray, FloatArray]:
    """:func:`surface_ways` of one surface whose bends are known."""
    return _ways_of(corners, bends, np.zeros(len(bends.normals), dtype=np.int64), 1)[0]


def _ways_of(corners: FloatArray, bends: Bends, owner: IntArray, count: int) -> list[tuple[FloatArray, FloatArray]]:
    """Ways of each of ``count`` surfaces, of which triangle k belongs to number ``owner[k]``."""
    sound = bends.areas_mm2 > _TINY
    faces = distinct_in_groups(bends.normals[sound], owner[sound], count)
    # the sides come sorted by their corners, so those of one surface lie together
    ways = corners[bends.sides[:, 1]] - corners[bends.sides[:, 0]]
    edges = distinct_in_groups(ways, owner[bends.owners[:, 0]], count)
    return list(zip(faces, edges, strict=True))


def creases_of(corners: FloatArray, bends: Bends) -> tuple[FloatArray, FloatArray, FloatArray]:
    """Every edge's unit direction, and the normals of the faces on either side of it, (m, 3) each."""
    ways = corners[bends.sides[:, 1]] - corners[bends.sides[:, 0]]
    ways /= np.maximum(np.linalg.norm(ways, axis=1), _TINY)[:, None]
    return ways, bends.normals[bends.owners[:, 0]], bends.normals[bends.owners[:, 1]]


def blades_of(skin: Skin, box_mm: tuple[FloatArray, FloatArray]) -> Blades:
    """Return the faces and edges of a skin for cutting, ``box_mm`` being the low and high corner of what it shows."""
    starts, ways = skin.corners_mm[skin.ends[:, 0]], skin.ways_mm
    ends = starts + ways
    boxes = -np.maximum(starts, ends) - _HAIR_MM, np.minimum(starts, ends) - _HAIR_MM
    edges = np.ascontiguousarray(np.concatenate([starts, ways, *boxes], axis=1).T)
    faces = np.concatenate([skin.normals, np.abs(skin.normals)], axis=1)
    return Blades(faces, skin.offsets_mm + _HAIR_MM, edges, np.concatenate([-box_mm[0], box_mm[1]]))


def skin_of_surface(corners: FloatArray, bends: Bends) -> Skin:
    """Skin of a closed convex surface over ``corners`` (n, 3) [mm] that bends so."""
    # nothing says that the triangles were listed as seen from outside
    out = corners[bends.sides[:, 0]] - corners.mean(axis=0)
    inward = float(np.einsum("ij,ij->", out, bends.normals[bends.owners[:, 0]])) < 0.0
    normals = -bends.normals if inward else bends.normals
    once = {tuple(row): k for k, row in enumerate(np.round(normals, 9).tolist()) if bends.areas_mm2[k] > _TINY}
    return _skin(normals[list(once.values())], corners, bends.sides)


def skin_of_solid(solid: Any) -> Skin:  # noqa: ANN401 - the hull library ships no types
    """Skin of a convex solid of the hull library."""
    corners, triangles = _surface(solid)
    return skin_of_surface(corners, bends_of(corners, triangles))


def block_of(corners: FloatArray, axes: FloatArray) -> tuple[FloatArray, FloatArray] | None:
    """Middle and half sizes (3,) [mm] along unit ``axes`` (3, 3) of the box whose corners (8, 3) these are.

    They must come in the order of a count in twos; None when they are not those of a box.
    """
    if len(corners) != _BLOCK_CORNERS or len(axes) != 3:  # noqa: PLR2004 - a box has three ways to go
        return None
    along = corners @ axes.T
    low, high = np.minimum.reduce(along), np.maximum.reduce(along)
    middle, half = (low + high) / 2.0, (high - low) / 2.0
    if np.abs((middle + BLOCK_SIGNS * half) @ axes - corners).max() > _SAME_MM:
        return None
    return middle, half


def skin_of_block(corners: FloatArray, axes: FloatArray) -> Skin:
    """Skin of a box by its corners (8, 3) in the order of a count in twos."""
    return _skin(np.concatenate([axes, -axes]), corners, _BLOCK_EDGES)


def skin_of_bar(axis: FloatArray, radius_mm: float, half_mm: float) -> Skin:
    """Skin of the prism that shows a round bar along the unit vector ``axis`` (3,), its corners on the true circle."""
    angles = np.arange(2 * BAR_SIDES) * (math.pi / BAR_SIDES)
    first, second = perpendiculars(axis)
    around = np.cos(angles)[:, None] * first + np.sin(angles)[:, None] * second
    rim, flats, end = radius_mm * around[::2], around[1::2], half_mm * axis
    return _skin(np.concatenate([flats, axis[None], -axis[None]]), np.concatenate([rim - end, rim + end]), _rim_edges())


@lru_cache(maxsize=1)
def _rim_edges() -> IntArray:
    low = np.arange(BAR_SIDES)
    after = np.roll(low, -1)
    pairs = [(low, after), (low + BAR_SIDES, after + BAR_SIDES), (low, low + BAR_SIDES)]
    return np.concatenate([np.stack(pair, axis=1) for pair in pairs])


def skin_of_capsule(half_mm: FloatArray, ball_mm: float) -> Skin:
    """Skin of the flat-sided body of a line from minus to plus ``half_mm`` (3,), grown by what shows a ball.

    The sum of a line and a flat-sided body has that body's faces at the one end of the line or the other, and a face
    along the line at each edge between a face that looks ahead and one that looks back.
    """
    ball = _shown_ball()
    along = ball.normals @ half_mm
    ahead = (along >= 0.0)[ball.owners]
    one, other = ahead[:, 0], ahead[:, 1]
    rim = (one != other).nonzero()[0]
    walls = cross(ball.ways[rim], half_mm)
    lengths = np.sqrt(np.einsum("ij,ij->i", walls, walls))
    sound = lengths > _TINY
    facing = np.copysign(np.maximum(lengths, _TINY), np.einsum("ij,ij->i", walls, ball.outward[rim]))
    walls = (walls / facing[:, None])[sound]
    side = ball.sides[rim]
    count = len(ball.corners)
    turning = np.zeros(count, dtype=bool)
    turning[side] = True
    turned = turning.nonzero()[0]
    ends = ball.sides[one | other] + count, ball.sides[~(one & other)], np.stack([turned, turned + count], axis=1)
    grown = ball_mm * ball.corners
    corners, between = np.concatenate([grown - half_mm, grown + half_mm]), np.concatenate(ends)
    offsets = ball_mm * ball.offsets + np.abs(along), np.einsum("ij,ij->i", walls, grown[side[:, 0][sound]])
    return Skin(
        np.concatenate([ball.normals, walls]),
        np.concatenate(offsets),
        corners,
        between,
        corners[between[:, 1]] - corners[between[:, 0]],
    )


def skin_of_ball(ball_mm: float) -> Skin:
    """Skin of what shows a ball."""
    ball = _shown_ball()
    return _skin(ball.normals, ball_mm * ball.corners, ball.sides)


class _Ball(NamedTuple):
    """What shows a ball of radius 1: its faces with their ``offsets``, its corners, its edges as in :class:`Bends`.

    Edges have their ``ways`` (m, 3) from corner to corner and an ``outward`` direction (m, 3) each.
    """

    normals: FloatArray
    offsets: FloatArray
    corners: FloatArray
    sides: IntArray
    owners: IntArray
    ways: FloatArray
    outward: FloatArray


@lru_cache(maxsize=1)
def _shown_ball() -> _Ball:
    corners, triangles = _surface(manifold3d.Manifold.hull_points(BALL))
    normals, _, sides, owners = bends_of(corners, triangles)
    return _Ball(
        normals,
        (corners @ normals.T).max(axis=0),
        corners,
        sides,
        owners,
        corners[sides[:, 1]] - corners[sides[:, 0]],
        normals[owners].sum(axis=1),
    )


def _surface(solid: Any) -> tuple[FloatArray, IntArray]:  # noqa: ANN401 - the hull library ships no types
    mesh = solid.to_mesh64()
    corners: FloatArray = np.ascontiguousarray(np.asarray(mesh.vert_properties, dtype=np.float64)[:, :3])
    return corners, np.asarray(mesh.tri_verts, dtype=np.int64)


def _skin(normals: FloatArray, corners: FloatArray, ends: IntArray) -> Skin:
    offsets = (corners @ normals.T).max(axis=0) if len(normals) else np.zeros(0)
    return Skin(normals, offsets, corners, ends, corners[ends[:, 1]] - corners[ends[:, 0]])
