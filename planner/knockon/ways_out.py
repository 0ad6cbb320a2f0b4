"""By which ways a part comes out: straight, or with a first move aside, and what stands in each."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from functools import partial

from planner.knockon.scene import Item
from planner.model.effects import Way
from planner.model.legs import Leg, StatedWay
from planner.model.shapes import Direction, Vec
from planner.model.vehicle import Component, Vehicle
from planner.space import Body, Crowd, Passage, Wish, blocked_all, detours
from planner.units import MM_PER_INCH

HAND_MM = 120.0
"""A hand's breadth with the knuckles: how far beyond its old place a part must be to be turned (starting guess)."""
FIRST_MM = 150.0
"""A first move aside may be as long as the part itself along it, and as long as this at any rate (starting guess)."""
EASE = (Direction.UP, Direction.FORWARDS, Direction.REARWARDS, Direction.LEFT, Direction.RIGHT, Direction.DOWN)
"""Which of two ways that are the same otherwise is told."""


class WaysOut:
    """The ways out of the bodies of one scene.

    A part counts as out once it has gone its own length along the last leg and a hand's breadth: from there it is
    turned and lifted as it pleases. Links ask for no way of their own: they are threaded in and out.
    """

    def __init__(self, items: dict[str, Item], *, tick_mm: float = 1.0) -> None:
        """Take the bodies; first moves are counted in whole ``tick_mm``."""
        self._items = items
        self._tick_mm = tick_mm
        solid = {i: item.body for i, item in items.items() if not item.pliant}
        self.crowd = Crowd(solid, lambda a, b: may_block(items[a], items[b]))

    def of(self, bodies: Iterable[str]) -> dict[str, tuple[tuple[Way, ...], tuple[Way, ...]]]:
        """For each body its ways, none of which asks for all that another asks for, and the straight ways shut."""
        return {body: (not_dominated(ways), shut) for body, (ways, shut) in self.every(bodies).items()}

    def every(self, bodies: Iterable[str]) -> dict[str, tuple[tuple[Way, ...], tuple[Way, ...]]]:
        """For each body every straight way that is open and the ways of two legs worth while, and the ways shut."""
        found: dict[str, tuple[tuple[Way, ...], tuple[Way, ...]]] = {}
        parts = {}
        for body in bodies:
            item = self._items[body]
            if isinstance(item.part, Component):
                parts[body] = item.part.way_out or tuple(StatedWay(direction=d) for d in EASE)
            else:
                found[body] = ((Way(direction=Direction.UP, blockers=frozenset()),), ())
        open_, shut = self._sorted(parts)
        self._add_turns(open_)
        return found | {body: (tuple(ways), tuple(shut[body])) for body, ways in open_.items()}

    def _sorted(self, asked: dict[str, tuple[StatedWay, ...]]) -> tuple[dict[str, list[Way]], dict[str, list[Way]]]:
        """Ways that are open once their blockers are off, and ways that are shut for good by theirs."""
        rows = [(body, way) for body, ways in asked.items() for way in ways]
        answers = iter(blocked_all(self.crowd, [p for body, way in rows for p in self._legs(body, way)]))
        open_: dict[str, list[Way]] = {body: [] for body in asked}
        shut: dict[str, list[Way]] = {body: [] for body in asked}
        for body, route in rows:
            item = self._items[body]
            stated = isinstance(item.part, Component) and bool(item.part.way_out)
            blockers = frozenset[str]().union(*(next(answers) for _ in (*route.first, route.direction)))
            never = frozenset(b for b in blockers if self._never(body, b))
            way = Way(direction=route.direction, first=route.first, blockers=blockers - never, stated=stated)
            if never and not stated:
                shut[body].append(replace(way, blockers=never))
            else:
                open_[body].append(way)
        return open_, shut

    def _add_turns(self, open_: dict[str, list[Way]]) -> None:
        """Ways of two legs, for bodies that have no free straight way and whose owner says nothing."""
        stuck = [body for body, ways in open_.items() if not any(way.stated or not way.blockers for way in ways)]
        wishes = [
            Wish(
                body,
                partial(first_reach_mm, self._items[body].body),
                partial(out_mm, self._items[body].body),
                tuple(way.blockers for way in open_[body]),
            )
            for body in stuck
        ]
        for body, ways in zip(stuck, detours(self.crowd, wishes, self._never, tick_mm=self._tick_mm), strict=True):
            open_[body] += [
                Way(direction=w.then, first=(Leg(direction=w.first, mm=w.first_mm),), blockers=w.blockers) for w in ways
            ]

    def _never(self, body: str, other: str) -> bool:
        """Whether another body is there as long as this one is: it never comes off, or this one is mounted on it."""
        return self._items[other].stays or self._items[body].on(self._items[other])

    def _legs(self, body: str, way: StatedWay) -> list[Passage]:
        legs, at = [], (0.0, 0.0, 0.0)
        for leg in way.first:
            legs.append(Passage(body, leg.direction, leg.mm, at))
            at = moved_on(at, leg)
        return [*legs, Passage(body, way.direction, out_mm(self._items[body].body, way.direction), at)]


def may_block(item: Item, other: Item) -> bool:
    """Whether another body counts as an obstacle: hoses and wires are eased aside, own links are undone."""
    if other.subject == item.subject or other.pliant:
        return False
    if isinstance(other.part, Component):
        own_link = not isinstance(item.part, Component) and other.subject in {e.component for e in item.part.ends}
        return not other.on(item) and not own_link
    return item.subject not in {e.component for e in other.part.ends}


def tick_mm(vehicle: Vehicle) -> float:
    """The step [mm] in which first moves are told: what the owner reads off a tape."""
    return MM_PER_INCH / 16 if vehicle.units == "inch" else 1.0


def extent_along_mm(body: Body, direction: Direction) -> float:
    """How long [mm] a body is along a direction."""
    return sum(abs(v) * (high - low) for v, low, high in zip(direction.vector, body.lo_mm, body.hi_mm, strict=True))


def out_mm(body: Body, direction: Direction) -> float:
    """How far [mm] a body goes along its last leg until it is in the hands."""
    return extent_along_mm(body, direction) + HAND_MM


def first_reach_mm(body: Body, direction: Direction) -> float:
    """How long [mm] a first move along a direction may be."""
    return max(extent_along_mm(body, direction), FIRST_MM)


def moved_on(at_mm: Vec, leg: Leg) -> Vec:
    """Where a leg ends that starts at ``at_mm``."""
    x, y, z = (a + leg.mm * v for a, v in zip(at_mm, leg.direction.vector, strict=True))
    return (x, y, z)


def not_dominated(ways: Iterable[Way]) -> tuple[Way, ...]:
    """Drop each way whose blockers include all those of another; the fewest blockers first, then the fewest legs."""
    kept: list[Way] = []
    for way in sorted(ways, key=_ease):
        if not any(k.blockers <= way.blockers for k in kept):
            kept.append(way)
    return tuple(kept)


def _ease(way: Way) -> tuple[int, int, float, int]:
    return len(way.blockers), len(way.first), sum(leg.mm for leg in way.first), EASE.index(way.direction)
