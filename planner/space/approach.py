"""Whether the cores of many pairs of pieces come nearer than a limit: all pairs at once, each answer proved.

A pair is *nearer* when two points of its cores are found that are nearer than the limit, and *not nearer* when a
direction is found along which the cores lie farther apart than it. What is neither within a few rounds, or lies
within a hair of its limit, stays open for the exact way.

Source: E. Gilbert, D. Johnson and S. Keerthi, "A fast procedure for computing the distance between complex objects
in three-dimensional space", IEEE Journal of Robotics and Automation 4 (1988), on the set of differences b - a; the
nearest point of the simplex is found by trying its parts that hold the newest corner.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from planner.space.frames import FloatArray
from planner.space.packed import Pack
from planner.space.surfaces import IntArray
from planner.space.vectors import cross

OPEN, NOT_NEARER, NEARER = -1, 0, 1
"""Answers about a pair."""

HAIR_MM = 1e-3
"""Nearer than this to the limit nothing is decided here."""

_ROUNDS = 40
_FEW, _FEW_OF_MANY, _SHARE = 16, 40, 100
"""When so few pairs are left the exact way takes less time than another round; more of many, since those are far on."""
_STALLED = 1e-12
_FLAT = 1e-10
_THIN = 1e-11
_EDGES: IntArray = np.array([0, 1, 2])
_FACES: IntArray = np.array([[0, 1], [1, 2], [2, 0]])
_NEWEST = 3
"""Column of the newest corner of a simplex."""


class Question(NamedTuple):
    """Rows of pieces ``a`` and ``b`` (n,) of a pack, b at ``shift_mm`` (n, 3) from a, and limits (n,) [mm]."""

    a: IntArray
    b: IntArray
    shift_mm: FloatArray
    limit_mm: FloatArray

    def part(self, rows: IntArray) -> Question:
        """The same question about some of its rows."""
        return Question(self.a[rows], self.b[rows], self.shift_mm[rows], self.limit_mm[rows])


def nearer(pack: Pack, asked: Question) -> IntArray:
    """Answer (n,) for each pair of cores: ``NEARER``, ``NOT_NEARER`` or ``OPEN``. Limits must be above zero."""
    answers = np.full(len(asked.a), OPEN, dtype=np.int64)
    if not len(answers):
        return answers
    rows = np.arange(len(asked.a))
    ask, few = asked, max(_FEW, min(_FEW_OF_MANY, len(answers) // _SHARE))
    corners = np.repeat(_support(pack, ask, -ask.shift_mm)[:, None, :], 4, axis=1)
    at = corners[:, 0].copy()
    for turn in range(_ROUNDS):
        distance = np.sqrt(np.einsum("ij,ij->i", at, at))
        near = distance < ask.limit_mm - HAIR_MM
        answers[rows[near]] = NEARER
        new = _support(pack, ask, -at)
        along = np.einsum("ij,ij->i", at, new)
        far = ~near & (along >= (ask.limit_mm + HAIR_MM) * distance)
        answers[rows[far]] = NOT_NEARER
        kept = np.flatnonzero(~near & ~far & (distance * distance - along > _STALLED * (1.0 + distance * distance)))
        if len(kept) <= few:
            break
        rows, ask, corners = rows[kept], ask.part(kept), corners[kept]
        corners[:, _NEWEST] = new[kept]
        at, corners = _shrunk(corners) if turn else _first_edges(corners)
    return answers


def _support(pack: Pack, ask: Question, ways: FloatArray) -> FloatArray:
    """Differences b - a (n, 3) that lie farthest along ``ways`` (n, 3)."""
    return pack.farthest(ask.b, ways) + ask.shift_mm - pack.farthest(ask.a, -ways)


def _first_edges(corners: FloatArray) -> tuple[FloatArray, FloatArray]:
    """What :func:`_shrunk` gives while there are two corners only."""
    new, old = corners[:, _NEWEST], corners[:, :1]
    corners[:, 1] = new
    return _on_edges(new, old)[0][:, 0], corners


def _shrunk(corners: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Nearest point (n, 3) to zero of each simplex (n, 4, 3), and the corners that make it up, in the first three.

    Slots that are not needed repeat a corner that is; the last is free for the next corner.
    """
    new, old = corners[:, _NEWEST], corners[:, :_NEWEST]
    rows = np.arange(len(corners))
    edge_points, edge_squares = _on_edges(new, old)
    face_points, face_squares, inside = _on_faces(new, old)
    squares = np.concatenate([edge_squares, face_squares], axis=1)
    best = np.argmin(squares, axis=1)
    points = np.concatenate([edge_points, face_points], axis=1)[rows, best]
    one = np.where(best < _NEWEST, best, _FACES[best - _NEWEST, 0])
    other = np.where(best < _NEWEST, best, _FACES[best - _NEWEST, 1])
    points[inside] = 0.0
    kept = np.stack([old[rows, one], old[rows, other], new, new], axis=1)
    return points, kept


def _on_edges(new: FloatArray, old: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Nearest points (n, m, 3) to zero on the lines from the newest corner to older ones, and their squares."""
    way = old - new[:, None, :]
    length = np.einsum("ijk,ijk->ij", way, way)
    along = -np.einsum("ik,ijk->ij", new, way)
    share = np.clip(along / np.where(length > 0.0, length, 1.0), 0.0, 1.0)
    points = new[:, None, :] + share[:, :, None] * way
    return points, np.einsum("ijk,ijk->ij", points, points)


def _on_faces(
    new: FloatArray, old: FloatArray
) -> tuple[FloatArray, FloatArray, np.ndarray[tuple[int, ...], np.dtype[np.bool_]]]:
    """Feet (n, 3, 3) of the perpendiculars from zero on the three triangles at the newest corner, and their squares.

    The square is infinite where the foot lies outside its triangle. Last, whether zero lies within all four faces.
    """
    b, c = old[:, _FACES[:, 0]], old[:, _FACES[:, 1]]
    first, second = b - new[:, None, :], c - new[:, None, :]
    normal = cross(first, second)
    square = np.einsum("ijk,ijk->ij", normal, normal)
    scale = np.einsum("ijk,ijk->ij", first, first) * np.einsum("ijk,ijk->ij", second, second)
    sound = square > _FLAT * scale
    height = np.einsum("ik,ijk->ij", new, normal)
    # shares of the foot: areas that zero's shadow makes with two corners each
    to_c = np.einsum("ijk,ijk->ij", cross(new[:, None, :], b), normal)
    to_b = np.einsum("ijk,ijk->ij", cross(c, new[:, None, :]), normal)
    to_new = square - to_b - to_c
    held = sound & (to_b >= 0.0) & (to_c >= 0.0) & (to_new >= 0.0)
    safe = np.where(square > 0.0, square, 1.0)
    points = normal * (height / safe)[:, :, None]
    squares = np.where(held, height * height / safe, np.inf)
    return points, squares, _encloses(new, old, height, sound)


def _encloses(
    new: FloatArray, old: FloatArray, height: FloatArray, sound: np.ndarray[tuple[int, ...], np.dtype[np.bool_]]
) -> np.ndarray[tuple[int, ...], np.dtype[np.bool_]]:
    """Whether each tetrahedron holds zero: seen from zero its four faces turn the same way."""
    base = np.einsum("ik,ik->i", old[:, 0], cross(old[:, 1], old[:, 2]))
    # signed volumes zero makes with each face; together they are the tetrahedron's
    walls = np.column_stack([height, -base])
    reach = np.maximum(np.abs(old).max(axis=(1, 2)), np.abs(new).max(axis=1))
    solid = sound.all(axis=1) & (np.abs(walls.sum(axis=1)) > _THIN * reach**3)
    same = (walls > 0.0).all(axis=1) | (walls < 0.0).all(axis=1)
    held: np.ndarray[tuple[int, ...], np.dtype[np.bool_]] = solid & same
    return held
