"""What two convex pieces share, as a box: the vertices of an intersection lie on the edges of the one or the other."""

from __future__ import annotations

import numpy as np

from planner.space.frames import FloatArray
from planner.space.pieces import Piece
from planner.space.surfaces import Blades

_LEVEL = 1e-12
_HAIR_MM = 1e-9
_NONE: FloatArray = np.zeros(3)
_SIDES: FloatArray = np.concatenate([-np.eye(3), np.eye(3)])
"""Outward normals (6, 3) of an upright box."""
_SPANS: FloatArray = np.block([[-np.eye(3), np.eye(3)], [np.eye(3), np.eye(3)]]) / 2.0
"""What (6, 6) takes minus the low and the high corner of a box, as a row, to its middle and its half sizes."""


def shared_box(a: Piece, b: Piece, shift_mm: FloatArray) -> tuple[FloatArray, FloatArray] | None:
    """Low and high corner (3,) [mm], about a's origin, of what two pieces share; None when they share nothing.

    Round pieces are taken as the flat-sided ones they are shown by.
    """
    one, other = a.blades, b.blades
    if not len(one.faces) or not len(other.faces):  # of no volume
        return None
    moved = np.concatenate([shift_mm, _NONE, -shift_mm, shift_mm])
    # very thin solids lose their narrow faces on the way to triangles; their own boxes do not
    reach = np.minimum(one.reach_mm, other.reach_mm + moved[6:])
    points = _corners(one, other, moved, reach)
    if not points.shape[1]:
        return None
    low, high = -reach[:3], reach[3:]
    return (
        np.minimum(np.maximum(np.minimum.reduce(points, axis=1), low), high),
        np.minimum(np.maximum(np.maximum.reduce(points, axis=1), low), high),
    )


def _corners(one: Blades, other: Blades, moved: FloatArray, reach_mm: FloatArray) -> FloatArray:
    """Points (3, n) [mm] whose box is that of what is left of the edges of two pieces within the faces of both.

    It lies in the box that their boxes share, given by minus its low and its high corner ``reach_mm`` (6,), so only
    edges that come into that one and faces that cut it are looked at. ``moved`` (12,) is by how much all there is of
    an edge goes with the shift of the second piece. Source: M. Cyrus and J. Beck, "Generalized two- and
    three-dimensional clipping", Computers and Graphics 3 (1978).
    """
    edges = np.concatenate([one.edges, other.edges + moved[:, None]], axis=1)
    edges = edges.take(np.logical_and.reduce(edges[6:] <= reach_mm[:, None]).nonzero()[0], axis=1)
    faces = np.concatenate([one.faces, other.faces])
    offsets = np.concatenate([one.offsets_mm, other.offsets_mm + other.faces[:, :3] @ moved[:3]])
    cutting = (faces @ (reach_mm @ _SPANS) > offsets).nonzero()[0]
    # faces in rows: what is asked is asked of the edges, and arrays are quickest across
    normals = np.concatenate([faces.take(cutting, axis=0)[:, :3], _SIDES])
    above = normals @ edges[:3] - np.concatenate([offsets.take(cutting), reach_mm + _HAIR_MM])[:, None]
    speed = normals @ edges[3:6]
    # an edge along a face is within it all the way, or never
    speed[np.abs(speed) <= _LEVEL] = _LEVEL
    at = above / -speed
    ahead = speed > 0.0
    leaves = np.minimum.reduce(np.where(ahead, at, 1.0), initial=1.0)
    enters = np.maximum.reduce(np.where(ahead, 0.0, at), initial=0.0)
    held = (enters <= leaves).nonzero()[0]
    edges = edges[:6].take(held, axis=1)
    starts, ways = edges[:3], edges[3:]
    return np.concatenate([starts + enters.take(held) * ways, starts + leaves.take(held) * ways], axis=1)
