"""How far the hull of a solid stands out beyond the solid, and where it could be cut to make that less.

What the hull has and the solid has not is a set of pockets. Each is bounded by lids (faces of the hull) and walls
(faces of the solid). How deep they are is measured from many places on the lids to the nearest wall. The bound is
proved: from any point of a pocket go along a direction -n, and where a lid stops you slide along it as steeply as it
lets you. The way ends at a wall, or at the lowest place of the hull, which is a corner of the solid too. It sinks by
no more than the extent of the pocket along n, and by at least c for each millimetre gone, where c^2 = 1 - s^2 and s is
the greatest share of -n across any lid or any edge between two. So extent / c bounds the distance to the solid; and
since one may rise as well as sink, so does extent / (c down + c up), for every n.
"""

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np

from planner.space.frames import FloatArray
from planner.space.from_triangles import from_triangles
from planner.space.surfaces import IntArray
from planner.space.vectors import distinct_directions, unit

_LEVEL = 1e-6
_ALIKE = 1e-4
_BESIDE = 0.1
_TINY_MM2 = 1e-12
_LIDS = 8
_LOOKS = 40
_LARGEST = 12
_SPOTS: FloatArray = np.array([(a, b, 5 - a - b) for a in range(1, 5) for b in range(1, 5 - a)]) / 5.0
"""Weights (n, 3) of places spread over a triangle."""
_WALLS = 4


class Plane(NamedTuple):
    """A plane: unit normal (3,) and its distance from zero along it [mm]."""

    normal: FloatArray
    offset_mm: float


class Hollow(NamedTuple):
    """What the hull of a solid has and the solid has not.

    ``mm`` is how far it stands out as measured at many places of the hull, ``bound_mm`` a proved bound of it, which
    may be much larger. ``cuts`` are planes worth cutting the solid along.
    """

    mm: float
    bound_mm: float
    cuts: tuple[Plane, ...]


class _Faces(NamedTuple):
    """Triangles of a surface: unit normals (t, 3), areas (t,) and corners (t, 3, 3)."""

    normals: FloatArray
    areas: FloatArray
    corners: FloatArray


def hollow_of(solid: Any, hull: Any) -> Hollow:  # noqa: ANN401 - the hull library ships no types
    """How far the hull of a solid stands out beyond it; 0 when the solid is its own hull."""
    hull = hull.as_original()
    pockets = [] if hull.volume() - solid.volume() <= _LEVEL * solid.surface_area() else (hull - solid).decompose()
    if not pockets:
        return Hollow(0.0, 0.0, ())
    owner = hull.original_id()
    found = []
    for part in pockets:
        corners, lids, walls, ridges = _bounds_of(part, owner)
        found.append((*_bound(corners, lids, ridges), corners, lids, walls))
    found.sort(key=lambda pocket: -pocket[0])
    worst, mm = 0, -1.0
    for n, (bound_mm, _, _, lids, walls) in enumerate(found):
        if bound_mm <= mm:
            break
        measured_mm = min(bound_mm, _measured(lids, walls))
        if measured_mm > mm:
            worst, mm = n, measured_mm
    _, inward, corners, lids, walls = found[worst]
    return Hollow(mm, found[0][0], tuple(_cuts_of(corners, lids, walls, inward)))


def _measured(lids: _Faces, walls: _Faces) -> float:
    """Greatest distance [mm] from a wall of many places on the lids of a pocket."""
    if not len(lids.areas) or not len(walls.areas):
        return 0.0
    order = np.argsort(-lids.areas, kind="stable")[:_LOOKS]
    looks = lids.corners[order].mean(axis=1)
    largest = lids.corners[order[:_LARGEST]]
    looks = np.vstack([looks, (_SPOTS @ largest).reshape(-1, 3)])
    return float(from_triangles(looks, walls.corners).max())


def _cuts_of(corners: FloatArray, lids: _Faces, walls: _Faces, inward: FloatArray) -> list[Plane]:
    """Planes worth cutting the solid along to open a pocket."""
    cuts = _cuts(corners, walls, inward)
    if len(lids.normals):
        through = lids.normals[int(np.argmax(lids.areas))]
        if abs(float(through @ inward)) < _BESIDE:
            # A hole right through opens only when it is cut along, not across.
            cuts = [cut for cut in cuts if abs(float(cut.normal @ through)) < _BESIDE] or cuts
    return cuts


def _bounds_of(pocket: Any, owner: int) -> tuple[FloatArray, _Faces, _Faces, FloatArray]:  # noqa: ANN401 - untyped
    """Corners of a pocket, its lids (faces of the hull ``owner``), its other faces and the edges between lids."""
    mesh = pocket.to_mesh64()
    corners = np.asarray(mesh.vert_properties, dtype=np.float64)[:, :3]
    triangles = np.asarray(mesh.tri_verts, dtype=np.int64)
    is_lid = np.zeros(len(triangles), dtype=bool)
    for run, source in enumerate(mesh.run_original_id):
        if int(source) == owner:
            is_lid[int(mesh.run_index[run]) // 3 : int(mesh.run_index[run + 1]) // 3] = True
    lids, walls = _faces(corners, triangles[is_lid]), _faces(corners, triangles[~is_lid])
    return corners, lids, walls, _ridges(corners, triangles[is_lid])


def _faces(corners: FloatArray, triangles: IntArray) -> _Faces:
    a, b, c = (corners[triangles[:, k]] for k in range(3))
    normals = np.cross(b - a, c - a)
    twice = np.sqrt(np.einsum("ij,ij->i", normals, normals))
    sound = twice > _TINY_MM2
    return _Faces(normals[sound] / twice[sound, None], twice[sound] / 2.0, corners[triangles[sound]])


def _ridges(corners: FloatArray, triangles: IntArray) -> FloatArray:
    """Unit normals (m, 2, 3) of the two lids on each side of every edge between lids."""
    a, b, c = (corners[triangles[:, k]] for k in range(3))
    normals = np.cross(b - a, c - a)
    normals /= np.maximum(np.sqrt(np.einsum("ij,ij->i", normals, normals)), _TINY_MM2)[:, None]
    sides = np.sort(np.vstack([triangles[:, [0, 1]], triangles[:, [1, 2]], triangles[:, [2, 0]]]), axis=1)
    order = np.lexsort((sides[:, 1], sides[:, 0]))
    same = np.flatnonzero(np.all(sides[order][1:] == sides[order][:-1], axis=1))
    owners = order % max(len(triangles), 1)
    return normals[np.column_stack([owners[same], owners[same + 1]])]


def _bound(corners: FloatArray, lids: _Faces, ridges: FloatArray) -> tuple[float, FloatArray]:
    """Bound [mm] of the distance from the pocket to the solid, and the direction (3,) that leads down into it."""
    ways = _ways(corners, lids)
    down, up = _across(-ways, lids, ridges), _across(ways, lids, ridges)
    speed = np.sqrt(np.maximum(0.0, 1.0 - down**2)) + np.sqrt(np.maximum(0.0, 1.0 - up**2))
    bounds = np.ptp(corners @ ways.T, axis=0) / np.maximum(speed, _LEVEL)
    best = int(np.argmin(bounds))
    farthest_mm = float(np.linalg.norm(np.ptp(corners, axis=0)))
    return min(float(bounds[best]), farthest_mm), ways[best] if down[best] <= up[best] else -ways[best]


def _ways(corners: FloatArray, lids: _Faces) -> FloatArray:
    """Unit directions (n, 3) out of a pocket worth trying: square to its lids first."""
    largest = lids.normals[np.argsort(-lids.areas, kind="stable")[:_LIDS]]
    mean = lids.areas @ lids.normals
    size = float(np.linalg.norm(mean))
    first = [mean[None, :] / size] if size > _LEVEL else []
    return np.vstack([*first, largest, np.eye(3), _spread(corners)])


def _across(ways: FloatArray, lids: _Faces, ridges: FloatArray) -> FloatArray:
    """Greatest share (n,), 0 to 1, of each unit way (n, 3) that goes across a lid or an edge between two."""
    if not len(lids.normals):
        return np.zeros(len(ways))
    found = np.maximum(0.0, (ways @ lids.normals.T).max(axis=1))
    if not len(ridges):
        return np.asarray(np.minimum(found, 1.0), dtype=np.float64)
    one, other = ways @ ridges[:, 0].T, ways @ ridges[:, 1].T
    between = np.einsum("ij,ij->i", ridges[:, 0], ridges[:, 1])
    square = 1.0 - between**2
    # The share of the way in the plane of the two normals counts when it points between them. Between normals less
    # than _ALIKE apart nothing is greater than at the greater of the two by more than that.
    with np.errstate(divide="ignore", invalid="ignore"):
        first, second = (one - between * other) / square, (other - between * one) / square
        shares = np.sqrt(np.maximum(0.0, first * one + second * other))
    shares = np.where((first > 0.0) & (second > 0.0), shares, 0.0)
    shares = np.where(square > _ALIKE**2, shares, np.where(between > 0.0, 0.0, 1.0))
    return np.asarray(np.minimum(np.maximum(found + _ALIKE, shares.max(axis=1)), 1.0), dtype=np.float64)


def _spread(corners: FloatArray) -> FloatArray:
    """The three ways (3, 3) in which corners spread, the least first."""
    away = corners - corners.mean(axis=0)
    ways: FloatArray = np.linalg.eigh(away.T @ away)[1].T
    return ways


def _cuts(corners: FloatArray, walls: _Faces, inward: FloatArray) -> list[Plane]:
    """Planes worth cutting along: the largest walls made longer, and across the deepest and the middle place."""
    cuts = [Plane(n, float(n @ p)) for n, p in _largest(walls)]
    deepest = corners[int(np.argmin(corners @ inward))]
    middle = (corners.min(axis=0) + corners.max(axis=0)) / 2.0
    spread = _spread(corners)
    across = distinct_directions(np.cross(inward, spread))
    cuts.extend(Plane(n, float(n @ deepest)) for n in across)
    cuts.extend(Plane(n, float(n @ middle)) for n in distinct_directions(np.vstack([across, spread])))
    return cuts


def _largest(walls: _Faces) -> list[tuple[FloatArray, FloatArray]]:
    """Normal and a place of the few planes that hold the most wall."""
    areas: dict[tuple[float, ...], tuple[float, int]] = {}
    offsets = np.einsum("ij,ij->i", walls.normals, walls.corners[:, 0])
    for k, key in enumerate(np.round(np.column_stack([walls.normals, offsets]), 3).tolist()):
        area, first = areas.get(tuple(key), (0.0, k))
        areas[tuple(key)] = (area + float(walls.areas[k]), first)
    order = sorted(areas.values(), key=lambda found: (-found[0], found[1]))[:_WALLS]
    return [(unit(walls.normals[k]), walls.corners[k, 0]) for _, k in order]
