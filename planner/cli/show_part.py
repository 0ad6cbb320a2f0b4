"""One part on one screen, and the same as plain data."""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import pairwise
from typing import Any

from rich.console import Console
from rich.text import Text

from planner.cli.terminal import page
from planner.knockon import PartFacts, going_out, listed, opened_by, part_facts, shut_told, ways_told
from planner.model.catalog import Catalog
from planner.model.effects import Way
from planner.model.vehicle import Component, Freedom, Link, RoomNeed, Vehicle
from planner.space import port_mm
from planner.units import format_length, format_minutes

_WIDE = 13
"""Columns of the words at the left."""
_TOUCH_MM = 0.05
_NO_WAY = "every way of one or two straight legs is shut by what never comes off; say its `way_out` if you know one"


@dataclass(frozen=True, slots=True, kw_only=True)
class Stand:
    """A vehicle a part is looked at on, what that state is called, and what a job does to the part."""

    vehicle: Vehicle
    title: str
    told: tuple[str, ...] = ()
    without: frozenset[str] = frozenset()
    """Links whose run is not known."""

    def name(self, subject: str) -> str:
        """What its owner calls a part or link."""
        parts: dict[str, Component | Link] = {**self.vehicle.links, **self.vehicle.components}
        return parts[subject].name

    def length(self, mm: float) -> str:
        """A length in the owner's units."""
        return format_length(mm, self.vehicle.units)


Row = tuple[str, str]


def show_part(name: str, stands: list[Stand], catalog: Catalog, told: tuple[str, ...]) -> None:
    """Print the part in each state of the vehicle, and what the job does to it."""
    with page() as console:
        for number, stand in enumerate(stands):
            if number:
                console.print()
            _head(console, name, stand, catalog)
            for left, right in _rows(name, stand, catalog):
                _print_row(console, left, right)
        last = stands[-1]
        if told and not last.told:
            console.print()
            _print_row(console, "the job", "; ".join(told))


def _head(console: Console, name: str, stand: Stand, catalog: Catalog) -> None:
    v = stand.vehicle
    kind = (
        catalog.kinds[v.components[name].kind].name
        if name in v.components
        else catalog.link_kinds[v.links[name].kind].name
    )
    called = stand.name(name)
    what = "" if kind == called else f", {kind}"
    console.print(Text(f"{called} ({name}){what}; {stand.title}", style="bold"))
    if stand.told:
        _print_row(console, "the job", "; ".join(stand.told))


def _print_row(console: Console, left: str, right: str) -> None:
    for k, line in enumerate(Text(right).wrap(console, max(30, console.width - _WIDE))):
        line.rstrip()
        console.print(Text(f"{left if k == 0 else '':{_WIDE}}", style="dim") + line)


def _rows(name: str, stand: Stand, catalog: Catalog) -> list[Row]:
    if name in stand.vehicle.links:
        return _link_rows(stand.vehicle.links[name], stand, catalog)
    facts = part_facts(stand.vehicle, name, catalog, without=stand.without)
    rows = [
        ("where", _where(facts, stand)),
        ("held by", _held_by(facts, stand)),
        ("carries", _carries(facts, stand)),
        ("joined by", listed(_links_told(facts, stand)) if facts.links else "no link"),
        *_out_rows(facts, stand),
        *((f"{'rooms' if k == 0 else ''}", words) for k, words in enumerate(_rooms_told(facts, stand))),
        ("needs", _needs(facts.part, facts.opens, stand, catalog)),
        *(("neighbours" if k == 0 else "", words) for k, words in enumerate(_neighbours_told(facts, stand))),
        *_care(facts.part.group, catalog),
    ]
    return [(left, right) for left, right in rows if right]


def _where(facts: PartFacts, stand: Stand) -> str:
    length = stand.length
    spans = [
        f"{axis} {length(low)} to {length(high)}"
        for axis, low, high in zip("xyz", facts.low_mm, facts.high_mm, strict=True)
    ]
    sizes = [length(high - low) for low, high in zip(facts.low_mm, facts.high_mm, strict=True)]
    mass = f", {facts.part.mass_kg:g} kg" if facts.part.mass_kg is not None else ""
    return f"{', '.join(spans)}: {' x '.join(sizes)} over all{mass}"


def _held_by(facts: PartFacts, stand: Stand) -> str:
    if facts.part.mounted_on is None:
        return "nothing that the file names"
    fixings = f", {facts.part.fixings}" if facts.part.fixings else ""
    return f"{stand.name(facts.part.mounted_on)}{fixings}"


def _carries(facts: PartFacts, stand: Stand) -> str:
    told = []
    if facts.riders:
        told.append(f"{listed(map(stand.name, facts.riders))}, off together with it")
    if facts.carried:
        told.append(listed(map(stand.name, facts.carried)) + ("" if facts.stays else ", off before it"))
    return "; ".join(told) or "nothing"


def _links_told(facts: PartFacts, stand: Stand) -> list[str]:
    told = []
    for i in facts.links:
        link = stand.vehicle.links[i]
        ends = [e for e in link.ends if e.component != facts.part.id]
        told.append(f"{link.name} (to {stand.name(ends[0].component)})" if ends else f"{link.name} (both ends)")
    return told


def _out_rows(facts: PartFacts, stand: Stand) -> list[Row]:
    if facts.stays:
        return [("comes out", "never: it stays")]
    rows = []
    if facts.comes_with is not None:
        rows.append(("comes off", f"together with {stand.name(facts.comes_with)}, which"))
    stays = [c.id for c in stand.vehicle.components.values() if c.freedom is Freedom.STAYS]
    words = ways_told(facts.ways, stand.name, stand.length) or [_NO_WAY]
    words += shut_told(facts.shut, stand.name, lambda b: b in stays)
    rows += [("comes out" if k == 0 else "", clause) for k, clause in enumerate(words)]
    part = stand.vehicle.components[facts.comes_with or facts.part.id]
    hands = "1 pair" if part.hands == 1 else f"{part.hands} pairs"
    times = f"{format_minutes(part.off_min)} to take off, {format_minutes(part.on_min)} to put back, {hands} of hands"
    return [*rows, *_first_rows(facts, stand), ("takes", times)]


def _first_rows(facts: PartFacts, stand: Stand) -> list[Row]:
    """What has to be off first at the least hand-minutes, each with its reason."""
    if not facts.off_first:
        return [("off first", "nothing else")]
    total = sum(first.hand_min for first in facts.off_first)
    way = f", for the way {going_out(facts.chosen, stand.length)}" if facts.chosen is not None else ""
    least = f"at the least {format_minutes(total)} of hands' time, off and on, draining and stands apart{way}:"
    return [("off first", least), *(("", f"  {stand.name(f.id)}, {f.because}") for f in facts.off_first)]


def _rooms_told(facts: PartFacts, stand: Stand) -> list[str]:
    told = []
    for fact in facts.rooms:
        when = "" if fact.room.needed is RoomNeed.ALWAYS else ", to take it off"
        free = f"{listed(map(stand.name, fact.standing))} in it" if fact.standing else "free"
        told.append(f"{fact.room.name}{when}: {free}")
    return told


def _needs(part: Component | Link, opens: tuple[str, ...], stand: Stand, catalog: Catalog) -> str:
    states = [catalog.conditions[c].name if c in catalog.conditions else c for c in part.needs]
    opened = [f"opens {stand.vehicle.systems[s].name}" for s in opens]
    tools = [f"tools: {', '.join(part.tools)}"] if part.tools else []
    return "; ".join([*([listed(states)] if states else []), *opened, *tools])


def _neighbours_told(facts: PartFacts, stand: Stand) -> list[str]:
    told = []
    for near in facts.neighbours:
        if near.mm < -_TOUCH_MM:
            far = f"{stand.length(-near.mm)} deep in"
        else:
            far = "touching" if near.mm <= _TOUCH_MM else f"{stand.length(near.mm)} from"
        told.append(f"{far} {stand.name(near.id)}, at its own {near.place}")
    return told


def _care(group: str, catalog: Catalog) -> list[Row]:
    return [("take care", catalog.cautions[group])] if group in catalog.cautions else []


def _link_rows(link: Link, stand: Stand, catalog: Catalog) -> list[Row]:
    vehicle, length = stand.vehicle, stand.length
    ends = [f"{stand.name(e.component)}{f' ({e.port})' if e.port else ''}" for e in link.ends]
    spare = [("slack", link.slack_mm), ("adjuster", link.adjust_mm), ("least bend radius", link.bend_radius_mm)]
    stiff = "stiff" if link.rigid else "pliant"
    run = f"{length(run_mm(link, vehicle))} as drawn, {length(link.across_mm)} across, {stiff}"
    hands = "1 pair" if link.hands == 1 else f"{link.hands} pairs"
    rows = [
        ("joins", " and ".join(ends)),
        ("run", "to be found on the vehicle: it is made anew" if link.id in stand.without else run),
        ("", ", ".join(f"{word} {length(mm)}" for word, mm in spare if mm)),
        ("passes", listed(map(stand.name, link.passes)) if link.passes else ""),
        ("comes out", "threaded out between the parts; it asks for no straight way"),
        (
            "takes",
            f"{format_minutes(link.off_min)} to take off, {format_minutes(link.on_min)} to put back, {hands} of hands",
        ),
        ("made anew", format_minutes(link.remake_min) if link.remake_min else ""),
        ("needs", _needs(link, opened_by(link, vehicle, catalog), stand, catalog)),
        *_care(link.group, catalog),
    ]
    return [(left, right) for left, right in rows if right]


def run_mm(link: Link, vehicle: Vehicle) -> float:
    """Length [mm] of a link along the straight legs it is drawn with."""
    start, finish = (port_mm(vehicle.components[e.component], e.port) for e in link.ends)
    return sum(math.dist(a, b) for a, b in pairwise((start, *link.via_mm, finish)))


def part_json(name: str, stands: list[Stand], catalog: Catalog, told: tuple[str, ...]) -> dict[str, Any]:
    """The part in each state of the vehicle: ids rather than names, numbers with their unit in the key."""
    return {"schema": 1, "id": name, "job_says": list(told), "states": [_state(name, s, catalog) for s in stands]}


def _state(name: str, stand: Stand, catalog: Catalog) -> dict[str, Any]:
    if name in stand.vehicle.links:
        link = stand.vehicle.links[name]
        return {
            "state": stand.title,
            "ends": [{"part": e.component, "port": e.port} for e in link.ends],
            "run_mm": None if name in stand.without else round(run_mm(link, stand.vehicle), 1),
            "needs": list(link.needs),
            "opens": list(opened_by(link, stand.vehicle, catalog)),
        }
    facts = part_facts(stand.vehicle, name, catalog, without=stand.without)
    return {
        "state": stand.title,
        "low_mm": [round(v, 1) for v in facts.low_mm],
        "high_mm": [round(v, 1) for v in facts.high_mm],
        "mounted_on": facts.part.mounted_on,
        "stays": facts.stays,
        "comes_with": facts.comes_with,
        "riders": list(facts.riders),
        "carries": list(facts.carried),
        "links": list(facts.links),
        "ways": [_way(way) for way in facts.ways],
        "shut": [_way(way) for way in facts.shut],
        "off_first": [{"id": f.id, "hand_min": f.hand_min, "because": f.because} for f in facts.off_first],
        "chosen": None if facts.chosen is None else _way(facts.chosen),
        "rooms": [
            {"name": f.room.name, "needed": f.room.needed.value, "standing": list(f.standing)} for f in facts.rooms
        ],
        "needs": list(facts.part.needs),
        "opens": list(facts.opens),
        "off_min": facts.part.off_min,
        "on_min": facts.part.on_min,
        "hands": facts.part.hands,
        "neighbours": [{"id": n.id, "gap_mm": round(n.mm, 2), "at": n.place} for n in facts.neighbours],
    }


def _way(way: Way) -> dict[str, Any]:
    first = [{"direction": leg.direction.value, "mm": round(leg.mm, 2)} for leg in way.first]
    last = {"direction": way.direction.value, "mm": None}
    return {"legs": [*first, last], "after": sorted(way.blockers), "stated": way.stated}
