"""Drawn times: the beta distribution of three-point estimates, and the fails of trial fits.

With low a, most likely m and high b [min] a time is a + (b - a) X, X beta distributed with

    alpha = 1 + 4 (m - a) / (b - a),  beta = 1 + 4 (b - m) / (b - a)

so that its mean is (a + 4 m + b) / 6 and its variance (mean - a)(b - mean) / 7: the usual PERT distribution
(Malcolm, Roseboom, Clark & Fazar, Operations Research 7, 1959, took the mean; the variance is the beta's own).
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import numpy.typing as npt

from planner.order.chance_model import Fail, Times

Floats = npt.NDArray[np.float64]
Bools = npt.NDArray[np.bool_]

GRAIN = 1024.0
"""Times are whole parts of 1/1024 minute: sums of them are exact, in whatever order they are added."""


def draw_minutes(times: Sequence[Times], runs: int, dice: np.random.Generator) -> Floats:
    """Draw each time once a run [min]: an array of shape (times, runs)."""
    drawn = np.empty((len(times), runs))
    for i, t in enumerate(times):
        wide = t.high - t.low
        if wide > 0:
            alpha, beta = 1 + 4 * (t.likely - t.low) / wide, 1 + 4 * (t.high - t.likely) / wide
            drawn[i] = grained(t.low + wide * dice.beta(alpha, beta, runs))
        else:
            drawn[i] = grained(np.float64(t.likely))
    return drawn


def draw_fails(fails: Sequence[Fail], runs: int, dice: np.random.Generator) -> Bools:
    """Draw whether each fail happens: an array of shape (fails, runs)."""
    happens = np.empty((len(fails), runs), dtype=np.bool_)
    for i, fail in enumerate(fails):
        happens[i] = dice.random(runs) < fail.chance
        if fail.after is not None:
            happens[i] &= happens[fail.after]
    return happens


def grained(minutes: Floats | np.float64) -> Floats:
    """Round to whole grains."""
    return np.asarray(np.rint(minutes * GRAIN) / GRAIN)
