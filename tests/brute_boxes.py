"""Arithmetic on blocks that are unturned or turned by quarters about z, in plain Python; nothing of space/ is used."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from itertools import product

from planner.model.shapes import Box, Pose, Vec
from planner.model.vehicle import Component, Freedom, Keeps, Room, Space

TOUCH = 0.05
SEAT = 1.0
STILL = 0.5
FREE = (Freedom.MOVES, Freedom.MAY_GO)

Block = tuple[Vec, Vec]
"""Low and high corner."""


def quarter(point: Vec, turns: int) -> Vec:
    x, y, z = point
    for _ in range(turns % 4):
        x, y = -y, x
    return (x, y, z)


def quarters_of(pose: Pose) -> int:
    assert pose.turn_deg[0] == pose.turn_deg[1] == 0.0
    turns = pose.turn_deg[2] / 90.0
    assert abs(turns - round(turns)) < 1e-9
    return round(turns) % 4


def plus(a: Vec, b: Vec) -> Vec:
    return (a[0] + b[0], a[1] + b[1], a[2] + b[2])


def minus(a: Vec, b: Vec) -> Vec:
    return (a[0] - b[0], a[1] - b[1], a[2] - b[2])


def blocks(part: Component, pose: Pose) -> list[Block]:
    turns = quarters_of(pose)
    found = []
    for solid in part.solids:
        assert isinstance(solid, Box)
        assert solid.pose.turn_deg == (0.0, 0.0, 0.0)
        half = [s / 2 for s in solid.size_mm]
        corners = [
            plus(pose.at_mm, quarter(plus(solid.pose.at_mm, (sx * half[0], sy * half[1], sz * half[2])), turns))
            for sx in (-1, 1)
            for sy in (-1, 1)
            for sz in (-1, 1)
        ]
        found.append(bounds([(c, c) for c in corners]))
    return found


def bounds(several: list[Block]) -> Block:
    low = tuple(min(b[0][i] for b in several) for i in range(3))
    high = tuple(max(b[1][i] for b in several) for i in range(3))
    return (low, high)  # type: ignore[return-value]


def block_gap(a: Block, b: Block) -> float:
    apart = [max(a[0][i] - b[1][i], b[0][i] - a[1][i]) for i in range(3)]
    if max(apart) <= 0.0:
        return max(apart)
    return math.sqrt(sum(max(0.0, d) ** 2 for d in apart))


def gap_between(a: list[Block], b: list[Block]) -> float:
    return min(block_gap(x, y) for x in a for y in b)


def slab(part: Component, pose: Pose, room: Room) -> Block:
    low, high = (list(c) for c in bounds(blocks(part, pose)))
    assert room.side is not None
    axis, way = next((i, v) for i, v in enumerate(room.side.vector) if v)
    if way > 0:
        low[axis], high[axis] = high[axis], high[axis] + room.depth_mm
    else:
        low[axis], high[axis] = low[axis] - room.depth_mm, low[axis]
    return (tuple(low), tuple(high))  # type: ignore[return-value]


def segment_gap(a: Vec, b: Vec, block: Block) -> float:
    """Distance from a segment to a block: convex along the segment, so a golden section search finds it."""

    def off(t: float) -> float:
        point = [p + t * (q - p) for p, q in zip(a, b, strict=True)]
        return math.sqrt(sum(max(0.0, lo - p, p - hi) ** 2 for p, lo, hi in zip(point, *block, strict=True)))

    low, high = 0.0, 1.0
    for _ in range(100):
        first, second = low + (high - low) * 0.382, low + (high - low) * 0.618
        if off(first) <= off(second):
            high = second
        else:
            low = first
    return off((low + high) / 2)


def alike(a: Pose, b: Pose) -> bool:
    turn = (a.turn_deg[2] - b.turn_deg[2]) % 360.0
    return math.dist(a.at_mm, b.at_mm) < 1e-6 and min(turn, 360.0 - turn) < 1e-6


def half(solid: object) -> Vec:
    assert isinstance(solid, Box)
    x, y, z = solid.size_mm
    return (x / 2, y / 2, z / 2)


def carried_pose(rider: Pose, before: Pose, after: Pose) -> Pose:
    turns = quarters_of(after) - quarters_of(before)
    arm = minus(rider.at_mm, before.at_mm)
    turn = rider.turn_deg[2] + after.turn_deg[2] - before.turn_deg[2]
    return Pose(at_mm=plus(after.at_mm, quarter(arm, turns)), turn_deg=(0.0, 0.0, turn))


MOST_TOGETHER = 1200
"""With more homes of one space in one turn than this, contact is had along one axis at a time."""


def grid(part: Component, space: Space, contacts: Callable[[Pose], list[set[float]]] | None = None) -> Iterator[Pose]:
    """Homes on the grid of a space; with the stops of ``contacts`` along the free axes as well when it is given."""
    low, high = (minus(space.box.pose.at_mm, half(space.box)), plus(space.box.pose.at_mm, half(space.box)))
    for turn in dict.fromkeys([0.0, *(t[2] for t in part.turns_deg)]):
        turned = Pose(turn_deg=(0.0, 0.0, part.pose.turn_deg[2] + turn))
        own = bounds(blocks(part, turned))
        plain, more = [], []
        extra: list[set[float]] = [set(), set(), set()] if contacts is None else contacts(turned)
        for i in range(3):
            first, last = low[i] - own[0][i], high[i] - own[1][i]
            way = space.against.vector[i] if space.against is not None else 0.0
            plain.append(stops(first, last, space.step_mm, way))
            near = {v for v in extra[i] if first < v < last and v not in plain[i]}
            more.append([] if way or not plain[i] else sorted(near))
        for at in sorted(mixed(plain, more)):
            yield Pose(at_mm=at, turn_deg=turned.turn_deg)


def mixed(plain: list[list[float]], more: list[list[float]]) -> set[Vec]:
    """All combinations of stops, or those with no more than one of ``more`` when they are too many."""
    every = [p + m for p, m in zip(plain, more, strict=True)]
    if math.prod(len(e) for e in every) <= MOST_TOGETHER:
        return set(product(*every))  # type: ignore[arg-type]
    found = set(product(*plain))
    for n in range(3):
        found |= set(product(*(more[i] if i == n else plain[i] for i in range(3))))
    return found  # type: ignore[return-value]


def stops(first: float, last: float, step: float, way: float) -> list[float]:
    if last < first:
        return []
    if way:
        return [first if way < 0 else last]
    found, at = [], first
    while at <= last:
        found.append(at)
        at += step
    return found if found[-1] == last else [*found, last]


def missed(keeps: Keeps, by: float, mine: list[Block], theirs: list[Block]) -> float:
    (low, high), (low_of, high_of) = bounds(mine), bounds(theirs)
    match keeps:
        case Keeps.ABOVE:
            return by - (low[2] - high_of[2])
        case Keeps.BELOW:
            return by - (low_of[2] - high[2])
        case Keeps.WITHIN:
            return gap_between(mine, theirs) - by
        case Keeps.APART:
            return by - gap_between(mine, theirs)
        case _:
            return 0.0


def port(part: Component, name: str, pose: Pose | None) -> Vec:
    where = part.pose if pose is None else pose
    return plus(where.at_mm, quarter(part.ports_mm[name] if name else (0.0, 0.0, 0.0), quarters_of(where)))
