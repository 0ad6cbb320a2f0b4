"""What stands in the way of taking each part out and putting it back."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping

from planner.knockon.conflicts import TOUCH_MM
from planner.knockon.scene import Item
from planner.knockon.ways_out import WaysOut, may_block
from planner.model.catalog import Catalog
from planner.model.effects import Access
from planner.model.job import Cut, OwnTask
from planner.model.shapes import Box, Pose, Vec
from planner.model.vehicle import Component, Room, RoomNeed
from planner.space import Body, Crowd, closer_than, room_body, solid_body

SPOT_MM: Vec = (50.0, 50.0, 50.0)
"""How large a spot is that is mended (starting guess)."""


def access_for(items: dict[str, Item], wanted: Iterable[str], *, tick_mm: float = 1.0) -> dict[str, Access]:
    """Access to every wanted body, to every body that may have to come off for one of them, and so on.

    Parameters
    ----------
    tick_mm : float [mm]
        First moves of ways of two legs are counted in whole steps of it.

    Returns
    -------
    dict of str to Access
        By body id. Riders of a body that comes off are included as bodies, not as blockers.
    """
    found: dict[str, Access] = {}
    ways_out = WaysOut(items, tick_mm=tick_mm)
    riders = _by_host(items)
    asked = sorted(set(wanted))
    while asked:
        reached: set[str] = set()
        for body, (ways, shut) in ways_out.of(asked).items():
            item = items[body]
            rooms = frozenset(_in_rooms(item, items, ways_out.crowd))
            excludes = frozenset(_excluded(item, items))
            found[body] = Access(body=body, ways=ways, rooms=rooms, excludes=excludes, shut=shut)
            reached.update(rooms, *(way.blockers for way in ways))
            reached.update(other for other in riders.get(item.subject, ()) if items[other].on(item))
        asked = sorted(i for i in reached - found.keys() if not items[i].stays)
    return dict(sorted(found.items()))


def _by_host(items: dict[str, Item]) -> dict[str, list[str]]:
    riders: dict[str, list[str]] = defaultdict(list)
    for i, item in items.items():
        for host in {*item.hosts} - {None}:
            riders[str(host)].append(i)
    return riders


def riders_of(item: Item, items: dict[str, Item]) -> list[str]:
    """Bodies mounted on a body in the same state of the vehicle; they come off before it."""
    return [i for i, other in items.items() if other.on(item)]


def in_room(item: Item, room: Room, items: dict[str, Item], crowd: Crowd) -> list[str]:
    """Bodies that stand in a working room of a part; what it is mounted on and what is eased aside left out."""
    if not isinstance(item.part, Component):
        return []
    body, host = room_body(item.part, room), item.part.mounted_on
    return [
        i
        for i in crowd.near(body)
        if may_block(item, items[i]) and items[i].subject != host and closer_than(body, items[i].body, -TOUCH_MM)
    ]


def _in_rooms(item: Item, items: dict[str, Item], crowd: Crowd) -> list[str]:
    rooms = item.part.rooms if isinstance(item.part, Component) else ()
    return [
        i
        for room in rooms
        if room.needed is RoomNeed.TAKING_OFF
        for i in in_room(item, room, items, crowd)
        if not items[i].stays
    ]


def _excluded(item: Item, items: dict[str, Item]) -> list[str]:
    """Bodies of another state of the vehicle that fill the same place."""
    if item.present and item.final:
        return []
    return [
        i
        for i, other in items.items()
        if other.id != item.id
        and not (other.present and item.present)
        and not (other.final and item.final)
        and not other.pliant
        and not item.pliant
        and (other.subject == item.subject or closer_than(other.body, item.body, -TOUCH_MM))
    ]


def near(body: Body, items: dict[str, Item], reach_mm: float) -> frozenset[str]:
    """Bodies that can come off and are nearer than ``reach_mm`` to a body."""
    return frozenset(i for i, o in items.items() if not o.stays and closer_than(body, o.body, reach_mm))


def in_cut_room(cut: Cut, hole: Body, items: dict[str, Item], catalog: Catalog) -> frozenset[str]:
    """Bodies in the working room of a cut; wires and hoses are eased aside, but not those of fuel and brakes."""
    return frozenset(
        i
        for i in near(hole, items, catalog.cut_reach_mm)
        if items[i].subject != cut.host and (not items[i].pliant or _minds_heat(items[i], catalog))
    )


def near_heat(hole: Body, items: dict[str, Item], catalog: Catalog) -> frozenset[str]:
    """Fuel, brake and other parts that may not be near hot work, of any stiffness."""
    return frozenset(i for i in near(hole, items, catalog.hot_reach_mm) if _minds_heat(items[i], catalog))


def carriers_of(part: str, parts: Mapping[str, Component]) -> frozenset[str]:
    """A part, and what it comes off with where it rides on another."""
    found = {part}
    while (there := parts.get(part)) is not None and there.rides and there.mounted_on is not None:
        part = there.mounted_on
        found.add(part)
    return frozenset(found)


def heat_of(task: OwnTask, items: dict[str, Item], parts: Mapping[str, Component]) -> tuple[Body, ...]:
    """Where an own task is hot: a mending at its spot, else all over the part in each of its homes.

    Another own task is hot all over what it asks to be fitted.

    ``parts``: those that are there before the job, as one that rides on another is no item of its own.
    """
    if task.mending is None:
        return tuple(item.body for item in items.values() if item.subject in task.fitted and item.final)
    if task.mending.spot_mm is not None:
        spot = Box(size_mm=SPOT_MM, pose=Pose(at_mm=task.mending.spot_mm))
        return (solid_body((spot,), Pose()),)
    part = parts.get(task.mending.on)
    found = tuple(item.body for item in items.values() if item.subject == task.mending.on)
    return found or (() if part is None else (solid_body(part.solids, part.pose),))


def _minds_heat(item: Item, catalog: Catalog) -> bool:
    return bool({item.part.group, item.part.kind} & set(catalog.hot_clear))


def on_host_near(cut: Cut, hole: Body, items: dict[str, Item], catalog: Catalog) -> frozenset[str]:
    """Bodies mounted on the host of a cut and near it: they are off while the metal is finished."""
    return frozenset(i for i in near(hole, items, catalog.bare_reach_mm) if cut.host in items[i].hosts)
