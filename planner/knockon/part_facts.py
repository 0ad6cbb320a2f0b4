"""Everything that is known of one part where it stands: what holds it, how it comes out, what is near it."""

from __future__ import annotations

from collections import deque
from dataclasses import dataclass

from planner.knockon.access import access_for, in_room, riders_of
from planner.knockon.conflicts import run_of
from planner.knockon.opening import opened_by
from planner.knockon.scene import Item, carrier_of, standing_scene
from planner.knockon.strip_choice import cheapest_off
from planner.knockon.way_words import Length, going_out
from planner.knockon.ways_out import WaysOut, tick_mm
from planner.model.catalog import Catalog
from planner.model.effects import Access, Way
from planner.model.shapes import Vec
from planner.model.vehicle import Component, Room, Vehicle
from planner.space import Body, gap, place_words, solid_body
from planner.units import format_length

_NEAREST = 6
_NEAR_MM = 150.0
"""Neighbours farther off than this are left out."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Neighbour:
    """A body beside the part, how far off [mm] (negative: how deep in it), and at which place of the part."""

    id: str
    mm: float
    place: str


@dataclass(frozen=True, slots=True, kw_only=True)
class RoomFact:
    """A working room and the bodies that stand in it."""

    room: Room
    standing: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class OffFirst:
    """A body that has to be off before the part comes out by the cheapest way, and the chain of reasons in words."""

    id: str
    hand_min: int
    because: str


@dataclass(frozen=True, slots=True, kw_only=True)
class PartFacts:
    """One part where it stands. Ids are those of parts and links; lengths in mm, vehicle axes.

    ``comes_with`` is the part it comes off together with, None when it comes off by itself; then ways, rooms and what
    is off first are those of that part. ``stays``: it never comes off, and those are empty.
    """

    part: Component
    low_mm: Vec
    high_mm: Vec
    stays: bool
    comes_with: str | None
    riders: tuple[str, ...]
    carried: tuple[str, ...]
    """What is mounted on it and comes off before it."""
    links: tuple[str, ...]
    ways: tuple[Way, ...]
    shut: tuple[Way, ...]
    rooms: tuple[RoomFact, ...]
    off_first: tuple[OffFirst, ...]
    chosen: Way | None
    """The way that belongs to ``off_first``."""
    opens: tuple[str, ...]
    neighbours: tuple[Neighbour, ...]


def part_facts(vehicle: Vehicle, part: str, catalog: Catalog, *, without: frozenset[str] = frozenset()) -> PartFacts:
    """Look at one component of a vehicle as it stands; links in ``without`` have no known run and are left out."""
    parts = vehicle.components
    me, carrier = parts[part], carrier_of(parts[part], parts)
    items = standing_scene(vehicle, without)
    item, body = items[carrier], solid_body(me.solids, me.pose)
    ways_out = WaysOut(items, tick_mm=tick_mm(vehicle))
    ways, shut = ((), ()) if item.stays else ways_out.every([carrier])[carrier]
    off, chosen = ((), None) if item.stays else _off_first(vehicle, carrier, items)
    return PartFacts(
        part=me,
        low_mm=body.lo_mm,
        high_mm=body.hi_mm,
        stays=item.stays,
        comes_with=carrier if carrier != part else None,
        riders=tuple(sorted(i for i, p in parts.items() if p.rides and p.mounted_on == part)),
        carried=tuple(sorted(i for i, p in parts.items() if not p.rides and p.mounted_on == part)),
        links=tuple(i for i, k in sorted(vehicle.links.items()) if part in {e.component for e in k.ends}),
        ways=ways,
        shut=shut,
        rooms=tuple(
            RoomFact(room=room, standing=tuple(sorted(in_room(item, room, items, ways_out.crowd))))
            for room in parts[carrier].rooms
        ),
        off_first=off,
        chosen=chosen,
        opens=opened_by(me, vehicle, catalog),
        neighbours=_neighbours(vehicle, me, without),
    )


def _off_first(vehicle: Vehicle, body: str, items: dict[str, Item]) -> tuple[tuple[OffFirst, ...], Way | None]:
    access = access_for(items, [body], tick_mm=tick_mm(vehicle))
    off, ways = cheapest_off([body], access, items)
    because = _chains(body, off, (access, ways), items, lambda mm: format_length(mm, vehicle.units))
    return tuple(
        OffFirst(id=i, hand_min=(p.off_min + p.on_min) * p.hands, because=words)
        for i, words in because.items()
        for p in (items[i].part,)
    ), ways.get(body)


def _chains(
    body: str,
    off: frozenset[str],
    found: tuple[dict[str, Access], dict[str, Way]],
    items: dict[str, Item],
    length: Length,
) -> dict[str, str]:
    """For each body that comes off besides the one wanted, the reason nearest to that one; nearest first."""
    access, ways = found
    told: dict[str, str] = {}
    queue = deque([body])
    while queue:
        here = queue.popleft()
        name = items[here].part.name
        reasons = [(i, f"mounted on {name}") for i in riders_of(items[here], items)]
        if here in ways:
            legs = going_out(ways[here], length)
            reasons += [(i, f"in the way of {name}, {legs}") for i in sorted(ways[here].blockers)]
        reasons += [(i, f"in the working room for undoing {name}") for i in sorted(access[here].rooms)]
        for other, words in reasons:
            if other in off and other != body and other not in told:
                told[other] = words
                queue.append(other)
    return told


def _neighbours(vehicle: Vehicle, me: Component, without: frozenset[str]) -> tuple[Neighbour, ...]:
    """The nearest bodies, without those it is fixed to, joins or is meant to touch."""
    body = solid_body(me.solids, me.pose)
    low, high = (tuple(v + s * _NEAR_MM for v in c) for c, s in ((body.lo_mm, -1.0), (body.hi_mm, 1.0)))
    skip = {me.id, me.mounted_on, *me.touches}
    skip |= {i for i, p in vehicle.components.items() if me.id in {*p.touches, p.mounted_on}}
    skip |= {i for i, k in vehicle.links.items() if me.id in k.passes}
    near: dict[str, Neighbour] = {}
    for i, other in {**_bodies(vehicle), **_runs(vehicle, me.id, without)}.items():
        if i in skip or any(a >= d or c >= b for a, b, c, d in zip(low, high, other.lo_mm, other.hi_mm, strict=True)):
            continue
        found = gap(body, other)
        if found.mm <= _NEAR_MM:
            near[i] = Neighbour(id=i, mm=found.mm, place=place_words(body, found.at_mm))
    return tuple(sorted(near.values(), key=lambda n: (n.mm, n.id))[:_NEAREST])


def _bodies(vehicle: Vehicle) -> dict[str, Body]:
    return {i: solid_body(p.solids, p.pose) for i, p in vehicle.components.items()}


def _runs(vehicle: Vehicle, part: str, without: frozenset[str]) -> dict[str, Body]:
    return {
        i: run_of(k, vehicle.components)
        for i, k in vehicle.links.items()
        if i not in without and part not in {e.component for e in k.ends}
    }
