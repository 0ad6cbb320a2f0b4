"""What two convex pieces share, as a box: the vertices of an intersection lie on the edges of the one or the other."""

from __future__ import annotations

import numpy as np

from planner.space.frames import FloatArray
from planner.space.pieces import Piece
from planner.space.surfaces import Skin

_LEVEL = 1e-12
_OUTSIDE_MM = 1e-9


def shared_box(a: Piece, b: Piece, shift_mm: FloatArray) -> tuple[FloatArray, FloatArray] | None:
    """Low and high corner (3,) [mm], about a's origin, of what two pieces share; None when they share nothing.

    Round pieces are taken as the flat-sided ones they are shown by.
    """
    if not len(a.skin.normals) or not len(b.skin.normals):  # of no volume
        return None
    points = np.concatenate([_clipped(a.skin, b.skin, shift_mm), _clipped(b.skin, a.skin, -shift_mm) + shift_mm])
    if not len(points):
        return None
    # very thin solids lose their narrow faces on the way to triangles; their own boxes do not
    low = np.maximum(a.box_mm[0], b.box_mm[0] + shift_mm)
    high = np.minimum(a.box_mm[1], b.box_mm[1] + shift_mm)
    return np.clip(points.min(axis=0), low, high), np.clip(points.max(axis=0), low, high)


def _clipped(edged: Skin, flat: Skin, shift_mm: FloatArray) -> FloatArray:
    """Points (n, 3) [mm] whose box is that of what is left of the edges of one piece within another's faces, shifted.

    Only the faces that cut some corner off are looked at. Source: M. Cyrus and J. Beck, "Generalized two- and
    three-dimensional clipping", Computers and Graphics 3 (1978).
    """
    # faces in rows: what is asked is asked of the edges, and arrays are quickest across
    above = flat.normals @ edged.corners_mm.T - (flat.offsets_mm + flat.normals @ shift_mm + _OUTSIDE_MM)[:, None]
    outside = above > 0.0
    cutting = outside.any(axis=1)
    if not cutting.any():
        return edged.corners_mm
    outside, above, normals = outside[cutting], above[cutting], flat.normals[cutting]
    one, other = edged.ends[:, 0], edged.ends[:, 1]
    held = ~np.logical_or.reduce(outside[:, one] & outside[:, other])
    one, ways = one[held], edged.ways_mm[held]
    speed = normals @ ways.T
    # an edge along a face is within it all the way, or never
    speed[np.abs(speed) <= _LEVEL] = _LEVEL
    at = above[:, one] / -speed
    ahead = speed > 0.0
    leaves = np.minimum.reduce(np.where(ahead, at, 1.0), initial=1.0)
    enters = np.maximum.reduce(np.where(ahead, 0.0, at), initial=0.0)
    held = enters <= leaves
    starts, ways = edged.corners_mm[one[held]], ways[held]
    return np.concatenate([starts + enters[held, None] * ways, starts + leaves[held, None] * ways])
