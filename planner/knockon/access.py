"""What stands in the way of taking each part out and putting it back."""

from __future__ import annotations

from collections import deque
from collections.abc import Iterable

from planner.knockon.conflicts import TOUCH_MM
from planner.knockon.scene import Item
from planner.model.catalog import Catalog
from planner.model.effects import Access, Way
from planner.model.job import Cut
from planner.model.shapes import Direction
from planner.model.vehicle import Component, RoomNeed
from planner.space import Body, blocked_by, closer_than, room_body

HAND_MM = 120.0
"""A hand's breadth with the knuckles: how far beyond its old place a part must be to be turned (starting guess)."""


def access_for(items: dict[str, Item], wanted: Iterable[str]) -> dict[str, Access]:
    """Access to every wanted body, to every body that may have to come off for one of them, and so on.

    Links ask for no way of their own: they are threaded in and out.

    Returns
    -------
    dict of str to Access
        By body id. Riders of a body that comes off are included as bodies, not as blockers.
    """
    found: dict[str, Access] = {}
    queue = deque(sorted(set(wanted)))
    while queue:
        body = queue.popleft()
        if body in found or items[body].stays:
            continue
        found[body] = _access(items[body], items)
        for way in found[body].ways:
            queue.extend(sorted(way.blockers))
        queue.extend(sorted(found[body].rooms | frozenset(riders_of(items[body], items))))
    return dict(sorted(found.items()))


def riders_of(item: Item, items: dict[str, Item]) -> list[str]:
    """Bodies mounted on a body in the same state of the vehicle; they come off before it."""
    return [i for i, other in items.items() if other.on(item)]


def _access(item: Item, items: dict[str, Item]) -> Access:
    others = {i: o for i, o in items.items() if _may_block(item, o)}
    return Access(
        body=item.id,
        ways=tuple(_ways(item, items, others)),
        rooms=frozenset(_in_rooms(item, others)),
        excludes=frozenset(_excluded(item, items)),
    )


def _may_block(item: Item, other: Item) -> bool:
    """Whether another body counts as an obstacle: hoses and wires are eased aside, own links are undone."""
    if other.subject == item.subject or other.pliant:
        return False
    if isinstance(other.part, Component):
        own_link = not isinstance(item.part, Component) and other.subject in {e.component for e in item.part.ends}
        return not other.on(item) and not own_link
    return item.subject not in {e.component for e in other.part.ends}


def _ways(item: Item, items: dict[str, Item], others: dict[str, Item]) -> list[Way]:
    if not isinstance(item.part, Component):
        return [Way(direction=Direction.UP, blockers=frozenset())]
    stated = item.part.way_out
    ways: list[Way] = []
    for direction in stated or tuple(Direction):
        passed = {i: o.body for i, o in others.items() if _is_passed(item.body, direction, o.body)}
        blockers = blocked_by(item.body, direction, passed)
        shut = {b for b in blockers if items[b].stays or item.on(items[b])}
        if shut and not stated:
            continue
        ways.append(Way(direction=direction, blockers=frozenset(blockers - shut)))
    return _not_dominated(ways)


def _is_passed(body: Body, direction: Direction, other: Body) -> bool:
    """Whether the other lies in what the body passes through until it is in the hands.

    That is its own length along the way and a hand's breadth: from there it is turned and lifted as it pleases.
    """
    vector = direction.vector
    axis = next(i for i, v in enumerate(vector) if v)
    travel_mm = body.hi_mm[axis] - body.lo_mm[axis] + HAND_MM
    low, high = list(body.lo_mm), list(body.hi_mm)
    if vector[axis] > 0:
        high[axis] += travel_mm
    else:
        low[axis] -= travel_mm
    return all(low[i] < other.hi_mm[i] and other.lo_mm[i] < high[i] for i in range(3))


def _not_dominated(ways: list[Way]) -> list[Way]:
    """Drop a way whose blockers include all those of another."""
    kept: list[Way] = []
    for way in sorted(ways, key=lambda w: (len(w.blockers), w.direction)):
        if not any(k.blockers <= way.blockers for k in kept):
            kept.append(way)
    return kept


def _in_rooms(item: Item, others: dict[str, Item]) -> list[str]:
    if not isinstance(item.part, Component):
        return []
    rooms = [room_body(item.part, r) for r in item.part.rooms if r.needed is RoomNeed.TAKING_OFF]
    host = item.part.mounted_on
    return [
        i
        for i, other in others.items()
        if not other.stays and other.subject != host and any(closer_than(room, other.body, -TOUCH_MM) for room in rooms)
    ]


def _excluded(item: Item, items: dict[str, Item]) -> list[str]:
    """Bodies of another state of the vehicle that fill the same place."""
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


def _minds_heat(item: Item, catalog: Catalog) -> bool:
    return bool({item.part.group, item.part.kind} & set(catalog.hot_clear))


def on_host_near(cut: Cut, hole: Body, items: dict[str, Item], catalog: Catalog) -> frozenset[str]:
    """Bodies mounted on the host of a cut and near it: they are off while the metal is finished."""
    return frozenset(i for i in near(hole, items, catalog.bare_reach_mm) if cut.host in items[i].hosts)
