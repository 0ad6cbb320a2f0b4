"""Whether the cores of many pairs of pieces lie deeper in each other than a limit: all at once, each answer proved.

Two flat-sided cores that meet have their depth along a face normal of the one or the other or along the cross
product of two edges (separating axis theorem), so the greatest bound over all of those *is* their signed distance
while it is not above zero. A round bar answers "deeper" by the prism inside it and "not deeper" by its own reach;
between the two the pair stays open for the exact way.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np

from planner.space.approach import HAIR_MM, NEARER, NOT_NEARER, OPEN, Question
from planner.space.frames import FloatArray
from planner.space.packed import Pack
from planner.space.pieces import WIDTHS, Bar, Hull, find_ways
from planner.space.surfaces import IntArray
from planner.space.vectors import cross

_MOST = 1200
"""Directions tried for one pair at most; beyond that the exact way is quicker."""
_CELLS = 400_000
_TOGETHER = 8_000
"""Up to so many directions in all, pairs of any number of ways are taken together."""
_LEVEL = 1e-18
_Ways = tuple[FloatArray, FloatArray]


class Flats:
    """Flat-sided cores with their face normals and edge directions in arrays; a row is an index into them."""

    def __init__(self, hulls: Sequence[Hull]) -> None:
        find_ways(hulls)
        self.pack = Pack(hulls)
        filled = [hull.filled_ways for hull in hulls]
        self._class = np.array([k for k, _, _ in filled], dtype=np.int64)
        self._slot = np.zeros(len(hulls), dtype=np.int64)
        self._tables: list[_Ways] = []
        for k, width in enumerate(WIDTHS):
            members = np.flatnonzero(self._class == k)
            self._slot[members] = np.arange(len(members))
            chosen = [filled[m] for m in members.tolist()]
            self._tables.append((
                np.array([faces for _, faces, _ in chosen]).reshape(-1, width, 3),
                np.array([edges for _, _, edges in chosen]).reshape(-1, width, 3),
            ))  # fmt: skip

    def alike(self, first: IntArray, second: IntArray) -> Iterator[tuple[IntArray, _Ways, _Ways]]:
        """Places (m,) in the pairs (n,) of rows that can be taken together, and the ways of both; a few are left out.

        Left out are pairs of so many ways that trying all takes longer than the exact way.
        """
        most = len(WIDTHS)
        own, others = self._class[first], self._class[second]
        tried = np.flatnonzero((own < most) & (others < most))
        top = int(max(own[tried].max(initial=0), others[tried].max(initial=0)))
        if len(tried) * _cost(top, top) <= _TOGETHER:
            if len(tried):
                yield tried, self._widened(first[tried], WIDTHS[top]), self._widened(second[tried], WIDTHS[top])
            return
        codes = own * (most + 1) + others
        for code in np.unique(codes).tolist():
            i, j = divmod(code, most + 1)
            if max(i, j) == most or _cost(i, j) > _MOST:
                continue
            rows = np.flatnonzero(codes == code)
            step = max(1, _CELLS // _cost(i, j))
            for start in range(0, len(rows), step):
                part = rows[start : start + step]
                yield part, self._taken(i, first[part]), self._taken(j, second[part])

    def _widened(self, rows: IntArray, width: int) -> _Ways:
        """Ways of rows of several tables, filled up to the same width."""
        out = np.empty((2, len(rows), width, 3))
        for k in np.unique(self._class[rows]).tolist():
            at = np.flatnonzero(self._class[rows] == k)
            columns = np.arange(width) % WIDTHS[k]
            for part, table in zip(out, self._taken(k, rows[at]), strict=True):
                part[at] = table[:, columns]
        return out[0], out[1]

    def _taken(self, table: int, rows: IntArray) -> _Ways:
        faces, edges = self._tables[table]
        return faces[self._slot[rows]], edges[self._slot[rows]]


def _cost(i: int, j: int) -> int:
    return 2 * (WIDTHS[i] + WIDTHS[j]) + WIDTHS[i] * WIDTHS[j]


def deeper(pack: Pack, asked: Question) -> IntArray:
    """Answer (n,) for each pair of cores: ``NEARER`` (signed distance below the limit), ``NOT_NEARER`` or ``OPEN``.

    Limits must not be above a hair.
    """
    answers = np.full(len(asked.a), OPEN, dtype=np.int64)
    if not len(answers):
        return answers
    members, back = np.unique(np.concatenate([asked.a, asked.b]), return_inverse=True)
    cores = [pack.pieces[k] for k in members.tolist()]
    flats = Flats([core.inside if isinstance(core, Bar) else core for core in cores])
    first, second = back[: len(asked.a)], back[len(asked.a) :]
    for part, one, other in flats.alike(first, second):
        shift = asked.shift_mm[part]
        directions = crossed(one, other, _straight(one, other, shift), shift)
        inner = Question(first[part], second[part], shift, asked.limit_mm[part])
        answers[part] = _judged((pack, flats.pack), asked.part(part), inner, directions)
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


def crossed(
    first: _Ways, second: _Ways, more: FloatArray | None = None, shift_mm: FloatArray | None = None
) -> FloatArray:
    """Unit directions (n, k, 3) that part two flat-sided cores best: faces of both, crosses of their edges, any more.

    ``more`` (n, m, 3) are of any length, up to that of ``shift_mm`` (n, 3).
    """
    loose = cross(first[1][:, :, None, :], second[1][:, None, :, :]).reshape(len(first[0]), -1, 3)
    scale = np.ones(len(loose))
    if more is not None and shift_mm is not None:
        loose = np.concatenate([loose, more], axis=1)
        scale += np.einsum("ij,ij->i", shift_mm, shift_mm)
    lengths = np.einsum("ijk,ijk->ij", loose, loose)
    level = lengths <= _LEVEL * scale[:, None]
    loose = np.where(level[:, :, None], first[0][:, :1], loose / np.sqrt(np.where(level, 1.0, lengths))[:, :, None])
    return np.concatenate([first[0], second[0], loose], axis=1)


def _straight(first: _Ways, second: _Ways, shift_mm: FloatArray) -> FloatArray:
    """Directions (n, m, 3), of any length, straight across between the edges of two cores."""
    edges = np.concatenate([first[1], second[1]], axis=1)
    away = shift_mm[:, None, :]
    across: FloatArray = away - np.einsum("ijk,ijk->ij", edges, np.broadcast_to(away, edges.shape))[:, :, None] * edges
    return across
