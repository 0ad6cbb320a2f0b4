"""Two hundred scenes of boxes at all angles: every run found stands up to a referee that shares no code with it."""

from __future__ import annotations

import random
from itertools import pairwise

import numpy as np
import pytest
from route_cases import block, faults, gaps_to, task

from planner.model.shapes import Box, Vec
from planner.space import ClearRun, find_run
from planner.space.frames import FloatArray
from planner.space.route_bound import bound_mm
from planner.space.route_fence import Fence

CASES = range(200)


def scene(seed: int) -> tuple[list[Box], Vec, Vec, float, float, float]:
    rng = random.Random(seed)
    start, finish = (0.0, 0.0, 0.0), (rng.uniform(250.0, 600.0), rng.uniform(-150.0, 150.0), rng.uniform(-100.0, 100.0))
    across, keep, bend = rng.choice([4.75, 8.0, 19.0]), rng.choice([0.0, 5.0, 15.0]), rng.choice([14.0, 25.0, 50.0])
    boxes: list[Box] = []
    while len(boxes) < rng.randint(2, 7):
        share = rng.uniform(0.15, 0.85)
        at = tuple(share * f + rng.uniform(-70.0, 70.0) for f in finish)
        turn = rng.choice([(0.0, 0.0, 0.0), tuple(rng.uniform(-90.0, 90.0) for _ in range(3))])
        made = block(at, tuple(rng.uniform(2.0, 220.0) for _ in range(3)), turn=turn)  # type: ignore[arg-type]
        ends = np.array([start, finish])
        if gaps_to(made, ends).min() > keep + across / 2.0 + 2.0 * bend:
            boxes.append(made)
    return boxes, start, finish, across, keep, bend


@pytest.mark.parametrize("seed", CASES)
def test_the_referee_agrees(seed: int) -> None:
    boxes, start, finish, across, keep, bend = scene(seed)
    asked = task(boxes, start, finish, across=across, keep=keep, bend=bend)
    run = find_run(asked)
    assert isinstance(run, ClearRun), (seed, run)
    assert faults(run, asked, boxes, keep) == []


@pytest.mark.parametrize("seed", range(0, 200, 10))
def test_no_clear_polyline_beats_the_bound(seed: int) -> None:
    """Lines through random places, clear by the referee's arithmetic, are never shorter than what is proved."""
    boxes, start, finish, across, keep, _ = scene(seed)
    asked = task(boxes, start, finish, across=across, keep=keep, bend=0.0)
    bound = bound_mm(Fence(asked.guards, across, *asked.within_mm), start, finish, 2.0 * float(np.linalg.norm(finish)))
    rng = np.random.default_rng(seed)
    ends = np.array([start, finish])
    best = np.inf
    for _ in range(400):
        share = np.sort(rng.uniform(size=int(rng.integers(1, 3))))[:, None]
        corners = ends[0] + share * (ends[1] - ends[0]) + rng.normal(scale=60.0, size=(len(share), 3))
        line = np.vstack([ends[:1], corners, ends[1:]])
        length = float(np.linalg.norm(np.diff(line, axis=0), axis=1).sum())
        if length < best and _clear(line, boxes, keep + across / 2.0):
            best = length
    assert bound <= best + 0.1


def _clear(line: FloatArray, boxes: list[Box], need: float) -> bool:
    dense = np.vstack([a + (b - a) * np.linspace(0.0, 1.0, 150)[:, None] for a, b in pairwise(line)])
    return all(float(gaps_to(b, dense).min()) >= need for b in boxes)
