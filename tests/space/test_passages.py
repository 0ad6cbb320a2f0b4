"""Many legs at once against one leg at a time, against walking, and against plain arithmetic of boxes."""

from __future__ import annotations

import numpy as np
import pytest
from space_cases import KINDS, flush_pair, random_pose, random_solid, vec

from planner.model.shapes import Box, Direction, Pose, Vec
from planner.space import Body, Crowd, Passage, blocked_all, blocked_by, gap, shifted, solid_body

WAYS = list(Direction)


def one_by_one(bodies: dict[str, Body], passages: list[Passage]) -> list[frozenset[str]]:
    return [
        blocked_by(
            bodies[p.body],
            p.direction,
            {i: b for i, b in bodies.items() if i != p.body},
            travel_mm=p.travel_mm,
            from_mm=p.from_mm,
        )
        for p in passages
    ]


def random_bodies(rng: np.random.Generator, count: int, spread_mm: float) -> dict[str, Body]:
    """Bodies of one or two solids of all kinds, every other one upright."""
    bodies = {}
    for k in range(count):
        pose = random_pose(rng, spread_mm)
        if k % 2:
            pose = Pose(at_mm=vec(np.round(pose.at_mm)), turn_deg=vec(rng.integers(0, 4, 3) * 90.0))
        solids = [random_solid(rng, KINDS[int(rng.integers(4))], 120.0) for _ in range(1 + k % 2)]
        bodies[f"b{k}"] = solid_body(solids, pose)
    return bodies


def random_legs(rng: np.random.Generator, bodies: dict[str, Body], each: int) -> list[Passage]:
    legs = []
    for name in bodies:
        for _ in range(each):
            start: Vec = (0.0, 0.0, 0.0)
            if rng.uniform() < 0.5:
                away = WAYS[int(rng.integers(6))]
                start = vec(rng.uniform(0.0, 150.0) * v for v in away.vector)
            travel = float(rng.choice([rng.uniform(1.0, 400.0), np.inf]))
            legs.append(Passage(name, WAYS[int(rng.integers(6))], travel, start))
    return legs


@pytest.mark.parametrize("seed", range(6))
def test_thousands_of_pairs_as_one_by_one(seed: int) -> None:
    rng = np.random.default_rng(700 + seed)
    bodies = random_bodies(rng, 24, 220.0)
    legs = random_legs(rng, bodies, 4)  # 24 x 4 legs x 23 others: 2,208 pairs a seed
    found = blocked_all(Crowd(bodies), legs)
    assert found == one_by_one(bodies, legs)
    assert 50 < sum(map(len, found)) < 2000


@pytest.mark.parametrize("square", [True, False])
def test_flush_pairs_as_one_by_one(square: bool) -> None:
    rng = np.random.default_rng(31)
    for k in range(60):
        (a, pose_a), (b, pose_b) = flush_pair(rng, (KINDS[k % 4], KINDS[(k // 4) % 4]), square=square)
        bodies = {"a": solid_body([a], pose_a), "b": solid_body([b], pose_b)}
        legs = [Passage(name, way, 500.0) for name in bodies for way in WAYS]
        assert blocked_all(Crowd(bodies), legs) == one_by_one(bodies, legs), k


def test_boxes_by_arithmetic() -> None:
    rng = np.random.default_rng(5)
    low = rng.integers(-10, 10, (60, 3)) * 10.0
    high = low + rng.integers(1, 7, (60, 3)) * 10.0
    bodies = {
        str(k): solid_body([Box(size_mm=vec(high[k] - low[k]))], Pose(at_mm=vec((high[k] + low[k]) / 2.0)))
        for k in range(60)
    }
    legs = [Passage(str(k), way, 70.0, (0.0, 10.0, 0.0)) for k in range(60) for way in WAYS]
    for leg, found in zip(legs, blocked_all(Crowd(bodies), legs), strict=True):
        k, way = int(leg.body), np.array(leg.direction.vector)
        shift = np.array(leg.from_mm)
        for j in range(60):
            steps = shift + np.arange(71.0)[:, None] * way
            shared = np.minimum(high[k] + steps, high[j]) - np.maximum(low[k] + steps, low[j])
            # as deep as one is in the other: the least shift along an axis that clears it
            deep = np.minimum(high[k] + steps - low[j], high[j] - low[k] - steps).min(axis=1)
            now = min(float(np.minimum(high[k] - low[j], high[j] - low[k]).min()), np.inf)
            allowed = max(0.0, now)
            expected = bool(np.any((shared > 0.0).all(axis=1) & (deep > allowed + 0.05))) and j != k
            assert (str(j) in found) == expected, (leg, j)


def test_against_walking_leg_by_leg() -> None:
    rng = np.random.default_rng(9)
    bodies = random_bodies(rng, 10, 90.0)
    legs = [Passage(n, WAYS[k % 6], 150.0, (0.0, 0.0, 25.0)) for k, n in enumerate(bodies)]
    counts = {True: 0, False: 0}
    for leg, found in zip(legs, blocked_all(Crowd(bodies), legs), strict=True):
        for name, other in bodies.items():
            if name == leg.body:
                continue
            me, way = bodies[leg.body], np.array(leg.direction.vector)
            # one allowance for the whole body: it is at least that of each piece
            now = min(0.0, gap(me, other).mm)
            walked = min(gap(shifted(me, vec(leg.from_mm + t * way)), other).mm for t in np.arange(0.0, 151.0, 3.0))
            if walked < now - 0.1:
                assert name in found
            if walked > 3.5:  # nothing can come nearer by more than half a step
                assert name not in found
            counts[name in found] += 1
    assert min(counts.values()) > 8


def test_who_counts_is_asked_only_of_those_in_the_way() -> None:
    cube = Box(size_mm=(10.0, 10.0, 10.0))
    bodies = {
        n: solid_body([cube], Pose(at_mm=at)) for n, at in (("a", (0, 0, 0)), ("b", (0, 0, 20)), ("c", (90, 0, 0)))
    }
    asked = []

    def counts(body: str, other: str) -> bool:
        asked.append((body, other))
        return other != "b"

    crowd = Crowd(bodies, counts)
    assert blocked_all(crowd, [Passage("a", Direction.UP, 100.0)]) == [frozenset()]
    assert asked == [("a", "b")]
    assert blocked_all(crowd, []) == []
