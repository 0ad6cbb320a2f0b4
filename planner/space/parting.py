"""Whether the cores of many pairs of pieces lie deeper in each other than a limit: all at once, each answer proved.

Two flat-sided cores that meet have their depth along a face normal of the one or the other or along the cross
product of two edges (separating axis theorem), so the greatest bound over all of those *is* their signed distance
while it is not above zero. A round bar answers "deeper" by the prism inside it and "not deeper" by its own reach;
between the two the pair stays open for the exact way.
"""

from __future__ import annotations

import numpy as np

from planner.space.approach import HAIR_MM, NEARER, NOT_NEARER, OPEN, Question
from planner.space.frames import FloatArray
from planner.space.packed import Pack
from planner.space.pieces import Bar, Hull, IntArray, cross

_STEPS = (3, 6, 9, 16, 32)
"""Pieces are taken together by how many face normals and edge directions they have, up to each of these."""
_MOST = 1200
"""Directions tried for one pair at most; beyond that the exact way is quicker."""
_CELLS = 400_000
_LEVEL = 1e-18
_Ways = tuple[FloatArray, FloatArray]


def deeper(pack: Pack, asked: Question) -> IntArray:
    """Answer (n,) for each pair of cores: ``NEARER`` (signed distance below the limit), ``NOT_NEARER`` or ``OPEN``.

    Limits must not be above a hair.
    """
    answers = np.full(len(asked.a), OPEN, dtype=np.int64)
    if not len(answers):
        return answers
    members, back = np.unique(np.concatenate([asked.a, asked.b]), return_inverse=True)
    cores = [pack.pieces[k] for k in members.tolist()]
    flat = [core.inside if isinstance(core, Bar) else core for core in cores]
    counts = np.array([_way_count(piece) for piece in flat])
    classes = np.searchsorted(_STEPS, counts)
    own = Pack(flat)
    ways = [_table(flat, np.flatnonzero(classes == k), step) for k, step in enumerate(_STEPS)]
    first, second = back[: len(asked.a)], back[len(asked.a) :]
    for i in range(len(_STEPS)):
        for j in range(len(_STEPS)):
            cost = 2 * (_STEPS[i] + _STEPS[j]) + _STEPS[i] * _STEPS[j]
            rows = np.flatnonzero((classes[first] == i) & (classes[second] == j))
            if cost > _MOST:
                continue
            step = max(1, _CELLS // cost)
            for start in range(0, len(rows), step):
                part = rows[start : start + step]
                directions = _directions(
                    _taken(ways[i], first[part]), _taken(ways[j], second[part]), asked.shift_mm[part]
                )
                inner = Question(first[part], second[part], asked.shift_mm[part], asked.limit_mm[part])
                answers[part] = _judged((pack, own), asked.part(part), inner, directions)
    return answers


def _judged(packs: tuple[Pack, Pack], true: Question, inner: Question, directions: FloatArray) -> IntArray:
    """Answers by the greatest bound over ``directions`` (n, k, 3), of the inner cores and of the true ones."""
    inside = _greatest_bound(packs[1], inner, directions)
    round_ones = packs[0].is_bar[true.a] | packs[0].is_bar[true.b]
    outside = inside.copy()
    rows = np.flatnonzero(round_ones)
    if len(rows):
        outside[rows] = _greatest_bound(packs[0], true.part(rows), directions[rows])
    answers = np.full(len(inside), OPEN, dtype=np.int64)
    answers[inside < np.minimum(true.limit_mm - HAIR_MM, -HAIR_MM)] = NEARER
    answers[outside >= true.limit_mm + HAIR_MM] = NOT_NEARER
    return answers


def _greatest_bound(pack: Pack, asked: Question, directions: FloatArray) -> FloatArray:
    """Greatest bound (n,) [mm] of each pair's signed distance by unit ``directions`` (n, k, 3), tried both ways."""
    low_a, high_a = pack.spans(asked.a, directions)
    low_b, high_b = pack.spans(asked.b, directions)
    along = np.matmul(directions, asked.shift_mm[:, :, None])[:, :, 0]
    bound: FloatArray = np.maximum(along + low_b - high_a, low_a - along - high_b).max(axis=1)
    return bound


def _directions(first: _Ways, second: _Ways, shift_mm: FloatArray) -> FloatArray:
    """Unit directions (n, k, 3) to try: faces of both, crosses of their edges, straight across between their edges."""
    crosses = cross(first[1][:, :, None, :], second[1][:, None, :, :]).reshape(len(shift_mm), -1, 3)
    edges = np.concatenate([first[1], second[1]], axis=1)
    away = shift_mm[:, None, :]
    straight = away - np.einsum("ijk,ijk->ij", edges, np.broadcast_to(away, edges.shape))[:, :, None] * edges
    loose = np.concatenate([crosses, straight], axis=1)
    lengths = np.einsum("ijk,ijk->ij", loose, loose)
    level = lengths <= _LEVEL * (1.0 + np.einsum("ij,ij->i", shift_mm, shift_mm))[:, None]
    loose = np.where(level[:, :, None], first[0][:, :1], loose / np.sqrt(np.where(level, 1.0, lengths))[:, :, None])
    return np.concatenate([first[0], second[0], loose], axis=1)


def _table(pieces: list[Hull], members: IntArray, width: int) -> tuple[IntArray, _Ways]:
    """Where each member stands in the table, and its normals and edges (m, width, 3), filled up with the first ones."""
    slots = np.full(len(pieces), -1, dtype=np.int64)
    slots[members] = np.arange(len(members))
    chosen = [pieces[k] for k in members.tolist()]
    faces = [piece.faces[np.arange(width) % len(piece.faces)] for piece in chosen]
    edges = [
        piece.edges[np.arange(width) % len(piece.edges)] if len(piece.edges) else np.zeros((width, 3))
        for piece in chosen
    ]
    return slots, (np.array(faces).reshape(-1, width, 3), np.array(edges).reshape(-1, width, 3))


def _taken(table: tuple[IntArray, _Ways], members: IntArray) -> _Ways:
    slots, (faces, edges) = table
    return faces[slots[members]], edges[slots[members]]


def _way_count(piece: Hull) -> int:
    """How many face normals or edge directions a piece has, whichever are more."""
    return max(len(piece.faces), len(piece.edges))
