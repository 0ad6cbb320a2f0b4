"""Ways out against taking random assemblies apart step by step (tests/motion_check.py), all subsets tried."""

from __future__ import annotations

import random
from collections import Counter

import numpy as np
import pytest
from garage import box, part, vehicle
from motion_check import Limits, Part, Prism, Unclear, depth, least_sets, routes

from planner.knockon.scene import standing_scene
from planner.knockon.ways_out import FIRST_MM, HAND_MM, WaysOut
from planner.model.effects import Way
from planner.model.shapes import Cylinder, Outline, Pose, Solid
from planner.model.vehicle import Component, Freedom

LIMITS = Limits(hand=int(HAND_MM), first=int(FIRST_MM))
GRID = 10
MOST = 7
SIDES = [(axis, sign) for axis in range(3) for sign in (-1, 1)]
Ints = tuple[int, ...]
Drawn = list[tuple[Prism, Solid]]


def assembly(seed: int) -> tuple[dict[str, Part], list[Component], frozenset[str]]:
    """A part among three to six others that stand about it, nearer or farther, on a grid of 10 mm.

    All are made of upright prisms over a rectangle, a triangle or a circle, and none overlaps another. A wall stands
    off each side of the first part, before all of it or a half; several walls may be one part. Some never come off.
    """
    rng = random.Random(seed)
    core = [_prism(rng, (0, 0, 0), tuple(GRID * rng.choice([4, 8]) for _ in range(3)), "box")]
    walls: list[Drawn] = [[] for _ in range(rng.randint(3, 5))]
    for side in SIDES:
        rng.choice(walls).append(_wall(rng, core, side, rng.choice([0, 0, 1, 2, 6])))
    drawn = [core, *(wall for wall in walls if wall)]
    for _ in range(20):
        size, middle = ([GRID * rng.choice(some) for _ in range(3)] for some in ([2, 4, 8], range(-14, 15)))
        stray = [_prism(rng, tuple(middle), tuple(size))]
        if len(drawn) < MOST and all(_clear(stray, other) for other in drawn):
            drawn.append(stray)
    often = rng.choice([0.2, 0.8])
    free = [Freedom.STAYS if k and rng.random() < often else Freedom.COMES_OFF for k in range(len(drawn))]
    parts = [
        part(f"p{k}", (0, 0, 0), (1, 1, 1), on=None, solids=tuple(s for _, s in d), freedom=free[k])
        for k, d in enumerate(drawn)
    ]
    shapes = {f"p{k}": tuple(shape for shape, _ in d) for k, d in enumerate(drawn)}
    return shapes, parts, frozenset(p.id for p in parts if p.freedom is Freedom.STAYS)


def _wall(rng: random.Random, core: Drawn, side: tuple[int, int], gap: int) -> tuple[Prism, Solid]:
    """A prism off one side of the first part, that covers this side or half of it."""
    axis, sign = side
    low, high = core[0][0].box
    size = [int(v) for v in high - low]
    middle = [0, 0, 0]
    for across in {0, 1, 2} - {axis}:
        if rng.random() < 0.3:
            size[across] //= 2
            middle[across] = rng.choice([-1, 1]) * size[across] // 2
    size[axis] = GRID * 2
    middle[axis] = int((high if sign > 0 else low)[axis]) + sign * (size[axis] // 2 + GRID * gap)
    return _prism(rng, tuple(middle), tuple(size))


def _prism(rng: random.Random, middle: Ints, size: Ints, kind: str = "") -> tuple[Prism, Solid]:
    x, y, z = (float(v) for v in middle)
    w, d, h = (float(v) for v in size)
    kind = kind or rng.choice(["box", "box", "box", "bar", "wedge"])
    low, high, at = z - h / 2, z + h / 2, Pose(at_mm=(x, y, z))
    if kind == "bar":
        across = min(w, d)
        bar = Cylinder(across_mm=across, length_mm=h, pose=at)
        return Prism(low, high, centre=(x, y), radius=across / 2), bar
    flat = [(-w / 2, -d / 2), (w / 2, -d / 2), (w / 2, d / 2), (-w / 2, d / 2)]
    if kind == "wedge":
        flat.pop(rng.randrange(4))
        solid: Solid = Outline(points_mm=tuple(flat), thick_mm=h, along="z", pose=at)
    else:
        solid = box((w, d, h), (x, y, z))
    return Prism(low, high, tuple((x + u, y + v) for u, v in flat)), solid


def _clear(some: Drawn, others: Drawn) -> bool:
    here = np.zeros(())
    return all(depth(a, b, here, here, here) <= 0.0 for a, _ in some for b, _ in others)


def compared(seed: int) -> Counter[str]:
    """How the ways of every part compare with trying, counted by what kind of case it was."""
    shapes, parts, never = assembly(seed)
    found = WaysOut(standing_scene(vehicle(parts))).of([p.id for p in parts if p.id not in never])
    counts: Counter[str] = Counter()
    for name, (ways, shut) in found.items():
        others = [i for i in shapes if i != name]
        try:
            straight = set(routes(shapes, name, LIMITS, two=False))
            tried = straight if frozenset() in straight else set(routes(shapes, name, LIMITS, two=True))
        except Unclear:
            counts["left out"] += 1
            continue
        expected = least_sets(tried, others, never)
        assert {w.blockers for w in ways} == expected, (seed, name)
        assert {w.blockers for w in shut} == {r & never for r in straight if r & never}, (seed, name)
        counts[_sort(ways, expected)] += 1
        counts["several ways"] += len(expected) > 1
    return counts


def _sort(ways: tuple[Way, ...], expected: set[frozenset[str]]) -> str:
    if any(way.first for way in ways):
        return "first move"
    if not expected:
        return "shut in"
    return "free" if frozenset() in expected else "blocked"


def test_ways_are_those_found_by_trying() -> None:
    counts = sum((compared(seed) for seed in range(100)), Counter[str]())
    print(dict(counts))
    assert min(counts[kind] for kind in ("first move", "blocked", "shut in", "several ways", "free")) > 3
    assert counts["left out"] < 30


@pytest.mark.slow
def test_ways_of_many_more() -> None:
    counts = sum((compared(seed) for seed in range(100, 1500)), Counter[str]())
    print(dict(counts))
    assert counts["first move"] > 300
