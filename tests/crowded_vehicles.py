"""Vehicles of any size for timing: parts in a lattice of cells on one frame, each with a mounting space of its own."""

from __future__ import annotations

import math
from dataclasses import dataclass
from random import Random

from garage import job, link, part, space, vehicle

from planner.model.job import Add, Job
from planner.model.shapes import Box, Cylinder, Solid, Vec
from planner.model.vehicle import Component, Freedom, Link, Space, Vehicle

COUNTS = {50: (5, 5, 2), 200: (8, 5, 5)}
"""Homes along x, y, z that make about so many."""


@dataclass(frozen=True)
class Sort:
    """How crowded: the part of each cell's length that a part fills, and how many parts have to stay."""

    name: str
    fill: tuple[float, float]
    bound: float


PLAIN = Sort("plain", (0.35, 0.60), 0.4)
DENSE = Sort("dense", (0.55, 0.85), 0.25)
CELL_MM = 200.0


def crowded(seed: int, count: int, homes: int, sort: Sort, *, moved: int) -> tuple[Vehicle, Job]:
    """A vehicle of ``count`` parts, with ``homes`` homes each, and a job that puts ``moved`` new ones in their way."""
    rng = Random(f"{seed} {count} {homes} {sort.name} {moved}")
    side = math.ceil(count ** (1 / 3))
    cells = rng.sample([(x, y, z) for x in range(side) for y in range(side) for z in range(side)], count)
    size = side * CELL_MM
    frame = part("frame", (0.0, 0.0, -300.0), (size, size, 20.0), on=None, freedom=Freedom.STAYS, kind="panel")
    parts = [_part(rng, f"p{n:04}", cell, sort) for n, cell in enumerate(cells)]
    spaces = [_space(rng, p, homes) for p in parts if p.freedom is Freedom.MOVES]
    links = _links(rng, parts)
    loose = [p for p in parts if p.freedom is Freedom.MOVES]
    start = rng.choice(loose).pose.at_mm
    near = sorted(loose, key=lambda p: math.dist(p.pose.at_mm, start))[: 3 * moved]
    changes = [_new(rng, n, p) for n, p in enumerate(rng.sample(near, min(moved, len(near))))]
    return vehicle([frame, *parts], spaces=spaces, links=links, ground=-400.0), job(*changes)


def _part(rng: Random, name: str, cell: tuple[int, int, int], sort: Sort) -> Component:
    size = [rng.uniform(*sort.fill) * CELL_MM for _ in range(3)]
    at = tuple((c + 0.5) * CELL_MM + rng.uniform(-0.5, 0.5) * (CELL_MM - s) for c, s in zip(cell, size, strict=True))
    free = Freedom.MOVES if rng.random() > sort.bound else rng.choice([Freedom.STAYS, Freedom.COMES_OFF])
    return part(
        name,
        (at[0], at[1], at[2]),
        (1.0, 1.0, 1.0),
        on="frame",
        freedom=free,
        solids=(_solid(rng, (size[0], size[1], size[2])),),
        keep_clear_mm=rng.choice([0.0, 0.0, 5.0]),
        off_min=rng.randint(2, 30),
        on_min=rng.randint(2, 30),
        ports_mm={"p": (0.0, 0.0, size[2] / 2)},
    )


def _solid(rng: Random, size: Vec) -> Solid:
    if rng.random() < 0.7:
        return Box(size_mm=size)
    return Cylinder(across_mm=min(size[0], size[1]), length_mm=size[2], along="z")


def _space(rng: Random, p: Component, homes: int) -> Space:
    solid = p.solids[0]
    size = solid.size_mm if isinstance(solid, Box) else (solid.across_mm, solid.across_mm, solid.length_mm)
    step = 40.0
    counts = rng.sample(COUNTS[homes], 3)
    box = tuple(s + step * (n - 1) for s, n in zip(size, counts, strict=True))
    at = tuple(a + rng.uniform(-0.5, 0.5) * step * n for a, n in zip(p.pose.at_mm, counts, strict=True))
    return space(f"s-{p.id}", (at[0], at[1], at[2]), (box[0], box[1], box[2]), on="frame", step=step, takes=(p.id,))


def _links(rng: Random, parts: list[Component]) -> list[Link]:
    found = []
    for n in range(len(parts) // 4):
        one = rng.choice(parts)
        other = min((p for p in rng.sample(parts, min(20, len(parts))) if p is not one), key=lambda p: _far(p, one))
        slack = rng.choice([20.0, 60.0, 200.0])
        found.append(
            link(f"k{n:04}", f"{one.id}.p", f"{other.id}.p", slack_mm=slack, passes=tuple(p.id for p in parts))
        )
    return found


def _far(a: Component, b: Component) -> float:
    return math.dist(a.pose.at_mm, b.pose.at_mm)


def _new(rng: Random, n: int, target: Component) -> Add:
    """Something added where a part stands."""
    x, y, z = (v + rng.uniform(-30.0, 30.0) for v in target.pose.at_mm)
    return Add(component=part(f"new-{n}", (x, y, z), (60.0, 60.0, 60.0), on="frame"))
