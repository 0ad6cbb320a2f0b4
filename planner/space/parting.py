"""Whether the cores of many pairs of pieces lie deeper in each other than a limit: all at once, each answer proved.

Two flat-sided cores that meet have their depth along a face normal of the one or the other or along the cross
product of two edges (separating axis theorem), so the greatest bound over all of those *is* their signed distance
while it is not above zero. A round bar answers "deeper" by the prism inside it and "not deeper" by its own reach;
between the two the pair stays open for the exact way.
"""

from __future__ import annotations

import numpy as np

from planner.space.approach import HAIR_MM, NEARER, NOT_NEARER, OPEN, Question
from planner.space.flats import Flats, crosses
from planner.space.frames import FloatArray
from planner.space.packed import Pack
from planner.space.pieces import Bar
from planner.space.surfaces import IntArray


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
    packs = pack, flats.pack
    inner = asked._replace(a=back[: len(asked.a)], b=back[len(asked.a) :])
    bounds = np.full((2, len(asked.a)), -np.inf)
    for at, directions in flats.faces_of(inner.a, inner.b):
        bounds[:, at] = _greatest_bounds(packs, (asked.part(at), inner.part(at)), directions)
    apart = bounds[0] >= asked.limit_mm + HAIR_MM
    answers[apart] = NOT_NEARER
    left = np.flatnonzero(~apart & np.isfinite(bounds[0]))
    for part, one, other in flats.edges_of(inner.a[left], inner.b[left]):
        at = left[part]
        shift = asked.shift_mm[at]
        loose = np.concatenate([crosses(one, other), _straight(one, other, shift)], axis=1)
        directions = flats.crossed(inner.a[at], loose, 1.0 + np.einsum("ij,ij->i", shift, shift)[:, None])
        found = np.maximum(bounds[:, at], _greatest_bounds(packs, (asked.part(at), inner.part(at)), directions))
        limit = asked.limit_mm[at]
        answers[at[found[1] < np.minimum(limit - HAIR_MM, -HAIR_MM)]] = NEARER
        answers[at[found[0] >= limit + HAIR_MM]] = NOT_NEARER
    return answers


def _greatest_bounds(packs: tuple[Pack, Pack], asked: tuple[Question, Question], directions: FloatArray) -> FloatArray:
    """Greatest bounds (2, n) [mm] over ``directions`` (n, k, 3) of the true cores and of the ones inside them."""
    true, inner = asked
    inside = _greatest_bound(packs[1], inner, directions)
    outside = inside.copy()
    rows = np.flatnonzero(packs[0].is_bar[true.a] | packs[0].is_bar[true.b])
    if len(rows):
        outside[rows] = _greatest_bound(packs[0], true.part(rows), directions[rows])
    return np.stack([outside, inside])


def _greatest_bound(pack: Pack, asked: Question, directions: FloatArray) -> FloatArray:
    """Greatest bound (n,) [mm] of each pair's signed distance by unit ``directions`` (n, k, 3), tried both ways."""
    low_a, high_a = pack.spans(asked.a, directions)
    low_b, high_b = pack.spans(asked.b, directions)
    along = np.matmul(directions, asked.shift_mm[:, :, None])[:, :, 0]
    bound: FloatArray = np.maximum(along + low_b - high_a, low_a - along - high_b).max(axis=1)
    return bound


def _straight(first: FloatArray, second: FloatArray, shift_mm: FloatArray) -> FloatArray:
    """Directions (n, m, 3), of any length, straight across between the edges of two cores."""
    edges = np.concatenate([first, second], axis=1)
    away = shift_mm[:, None, :]
    across: FloatArray = away - np.einsum("ijk,ijk->ij", edges, np.broadcast_to(away, edges.shape))[:, :, None] * edges
    return across
