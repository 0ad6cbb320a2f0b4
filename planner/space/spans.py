"""Spans of a travel, many at once."""

from __future__ import annotations

import numpy as np

from planner.space.frames import FloatArray

Span = tuple[FloatArray, FloatArray]
"""Where something begins and ends (m,) twice [mm]; it never happens where it begins no sooner than it ends."""


def span_within(least: FloatArray, most: FloatArray, slopes: FloatArray) -> Span:
    """Between which travels t (m,) [mm] ``least < slope * t < most`` holds in every column (m, k)."""
    with np.errstate(divide="ignore", invalid="ignore"):
        one, other = least / slopes, most / slopes
    level = np.abs(slopes) < 1e-12  # noqa: PLR2004 - rounding of a unit vector
    shut = (least >= most) | (level & ((least >= 0.0) | (most <= 0.0)))
    starts, ends = np.minimum(one, other), np.maximum(one, other)
    starts[level], ends[level] = -np.inf, np.inf
    starts[shut], ends[shut] = np.inf, -np.inf
    return np.maximum.reduce(starts, axis=1), np.minimum.reduce(ends, axis=1)
