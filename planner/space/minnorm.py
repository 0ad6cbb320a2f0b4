"""Nearest points of two convex cores by support points alone: slow and sure, for when the fast way is unproved."""

from __future__ import annotations

import math

import numpy as np

from planner.space.frames import FloatArray
from planner.space.pieces import Piece

_ROUNDS = 200
_ENOUGH_MM = 1e-7
"""A distance below this, or proved to within this, ends the search."""
_NOTHING = 1e-12
"""Weights below this are taken for zero."""


def nearest_points(a: Piece, b: Piece, shift_mm: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Nearest points (3,) [mm] of two cores, b's origin at ``shift_mm`` (3,) from a's; one place if they meet.

    Source: P. Wolfe, "Finding the nearest point in a polytope", Mathematical Programming 11 (1976), on the set
    of differences b - a.
    """
    ends = [_support(a, b, shift_mm, shift_mm)]
    weights = np.ones(1)
    for _ in range(_ROUNDS):
        across = _across(ends) @ weights
        distance = math.sqrt(float(across @ across))
        new = _support(a, b, shift_mm, -across)
        bound = float(across @ (new[1] - new[0]))
        if distance <= _ENOUGH_MM or distance * distance - bound <= _ENOUGH_MM * distance:
            break
        ends, weights = _shrink([*ends, new], np.append(weights, 0.0))
    near_a = np.column_stack([end[0] for end in ends]) @ weights
    near_b = np.column_stack([end[1] for end in ends]) @ weights
    return near_a, near_b


def _support(a: Piece, b: Piece, shift_mm: FloatArray, way: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Points of a and b whose difference b - a lies farthest along ``way`` (3,)."""
    return a.farthest(-way), b.farthest(way) + shift_mm


def _across(ends: list[tuple[FloatArray, FloatArray]]) -> FloatArray:
    """Differences (3, n) in columns."""
    return np.column_stack([end[1] - end[0] for end in ends])


def _shrink(
    ends: list[tuple[FloatArray, FloatArray]], weights: FloatArray
) -> tuple[list[tuple[FloatArray, FloatArray]], FloatArray]:
    """Move to the nearest point of the flat through the points, dropping those it would leave."""
    while True:
        wanted = _flat_weights(_across(ends))
        if np.all(wanted > _NOTHING):
            return ends, wanted
        falling = wanted < weights
        steps = np.where(falling, weights / np.maximum(weights - wanted, 1e-300), np.inf)
        step = min(1.0, float(np.min(np.where(wanted <= _NOTHING, steps, np.inf))))
        weights = weights + step * (wanted - weights)
        kept = weights > _NOTHING
        if kept.all():
            kept[int(np.argmin(weights))] = False
        if not kept.any():
            kept[int(np.argmax(weights))] = True
        ends = [end for end, keep in zip(ends, kept, strict=True) if keep]
        weights = weights[kept] / weights[kept].sum()
        if len(ends) == 1:
            return ends, np.ones(1)


def _flat_weights(columns: FloatArray) -> FloatArray:
    """Weights (n,) that sum to 1 of the point nearest to zero on the flat through ``columns`` (3, n)."""
    if columns.shape[1] == 1:
        return np.ones(1)
    base = columns[:, :1]
    rest = np.linalg.lstsq(columns[:, 1:] - base, -base[:, 0], rcond=None)[0]
    return np.concatenate([[1.0 - rest.sum()], rest])
