"""Straight runs in the choice of homes, both ends and what is in the way free to move, against every combination.

The reference knows boxes square to the axes only: the distance from a point to a box is exact, and along a straight
line it is convex, so a ternary search finds the least.
"""

from __future__ import annotations

import itertools
import math
from dataclasses import replace
from random import Random

import pytest
from garage import catalog, job, mover, part, space, vehicle, wall

from planner.knockon import find_knockons, present_faults
from planner.model.effects import Proof
from planner.model.job import Add
from planner.model.shapes import Box, Vec
from planner.model.vehicle import Component, Keeps, Relation, Vehicle
from planner.verify import check_homes

NAMES = ("a", "b", "c", "d")
MOVED = 30_000 + 9_000
"""Thousandths of a minute: off and on again, and the new fixings; a thousandth more for each millimetre."""


def size_of(p: Component) -> Vec:
    [solid] = p.solids
    assert isinstance(solid, Box)
    return solid.size_mm


def point_to_box(point: Vec, at: Vec, size: Vec) -> float:
    return math.hypot(*(max(0.0, abs(p - a) - s / 2) for p, a, s in zip(point, at, size, strict=True)))


def line_to_box(start: Vec, end: Vec, at: Vec, size: Vec) -> float:
    def away(t: float) -> float:
        x, y, z = (a + t * (b - a) for a, b in zip(start, end, strict=True))
        return point_to_box((x, y, z), at, size)

    low, high = 0.0, 1.0
    for _ in range(80):
        first, second = low + (high - low) / 3, high - (high - low) / 3
        low, high = (low, second) if away(first) <= away(second) else (first, high)
    return away((low + high) / 2)


def overlap(at: Vec, size: Vec, other_at: Vec, other_size: Vec) -> bool:
    return all(abs(a - b) < (s + t) / 2 - 0.05 for a, b, s, t in zip(at, other_at, size, other_size, strict=True))


def sound(places: dict[str, tuple[Vec, Vec]], runs: list[Relation]) -> bool:
    for one, two in itertools.combinations(places, 2):
        if overlap(*places[one], *places[two]):
            return False
    return all(
        line_to_box(places[r.part][0], places[r.of or ""][0], *places[other]) >= r.by_mm - 0.05
        for r in runs
        for other in places
        if other not in {r.part, r.of}
    )


def case(seed: int) -> tuple[Vehicle, Component, dict[str, list[Vec]]]:
    """Four boxes with up to four homes each, two or three runs between them, and a box to be added."""
    rng = Random(seed)

    def at() -> Vec:
        return (
            float(rng.randrange(150, 400, 25)),
            float(rng.randrange(-300, 301, 50)),
            float(rng.randrange(200, 801, 50)),
        )

    while True:
        size = {n: (float(rng.randrange(30, 91, 10)),) * 3 for n in NAMES}
        parts = [mover(n, at(), size[n]) for n in NAMES]
        pairs = rng.sample(list(itertools.permutations(NAMES, 2)), rng.randint(2, 3))
        runs = [
            Relation(id=f"run-{a}-{b}", part=a, keeps=Keeps.STRAIGHT_RUN, of=b, by_mm=float(rng.choice((10, 20, 40))))
            for a, b in pairs
        ]
        homes = {n: [at() for _ in range(4)] for n in NAMES}
        v = vehicle([wall(), *parts], relations=runs)
        new = part("new", at(), (120.0, 120.0, 120.0))
        places = {p.id: (p.pose.at_mm, size_of(p)) for p in [wall(), *parts]}
        hit = not sound({**places, "new": (new.pose.at_mm, size_of(new))}, runs)
        if sound(places, runs) and not overlap(new.pose.at_mm, size_of(new), *places["wall"]) and hit:
            break
    spaces = [space(f"{n}-{i}", h, size[n], takes=(n,)) for n in NAMES for i, h in enumerate(homes[n])]
    return replace(v, spaces={s.id: s for s in spaces}), new, homes


def least(v: Vehicle, new: Component, homes: dict[str, list[Vec]]) -> int | None:
    """Cost of the cheapest combination in which everything holds."""
    still = {"wall": v.components["wall"], "new": new}
    best: int | None = None
    for choice in itertools.product(*([v.components[n].pose.at_mm, *homes[n]] for n in NAMES)):
        places = {i: (p.pose.at_mm, size_of(p)) for i, p in still.items()}
        cost = 0
        for name, at in zip(NAMES, choice, strict=True):
            before = v.components[name]
            places[name] = (at, size_of(before))
            far = math.dist(at, before.pose.at_mm)
            cost += MOVED + round(far) if far > 0.0 else 0
        if (best is None or cost < best) and sound(places, list(v.relations.values())):
            best = cost
    return best


@pytest.mark.parametrize("seed", range(60))
def test_least_cost_with_runs_is_that_of_all_combinations(seed: int) -> None:
    v, new, homes = case(seed)
    assert present_faults(v) == ()
    work = job(Add(component=new))
    found = find_knockons(v, work, catalog())
    best = least(v, new, homes)
    if best is None:
        assert found.proof is Proof.NONE
        assert found.trouble
        return
    assert found.proof is Proof.PROVED
    assert found.cost == -(-best // 1000)
    assert check_homes(v, work, found) == ()
