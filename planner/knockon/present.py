"""What is impossible or already broken in the vehicle as the file has it."""

from __future__ import annotations

from collections.abc import Container
from dataclasses import dataclass, replace

from planner.knockon.asked import asked_by
from planner.knockon.conflicts import TOUCH_MM, PairRules, crossing_of, rules_now, run_of
from planner.knockon.placed import Placed, place
from planner.knockon.rods_now import RodFault, rod_faults
from planner.model.effects import CauseKind
from planner.model.job import Job
from planner.model.shapes import Vec
from planner.model.vehicle import Component, Link, Vehicle
from planner.space import Body, close_pairs, gap, near_pairs, place_words


@dataclass(frozen=True, slots=True, kw_only=True)
class Fault:
    """One thing that cannot be so: ``part`` and ``other`` are ids, ``mm`` the depth or shortfall, ``at_mm`` where."""

    kind: CauseKind
    part: str
    other: str
    text: str
    mm: float
    at_mm: Vec | None = None
    lean_deg: float = 0.0
    """How far a rod leans out of the line it pushes along."""
    brought: str = ""
    """Id of the part or link by which a job brings it; empty: it is so today."""


def present_faults(vehicle: Vehicle, first: Container[str] = ()) -> tuple[Fault, ...]:
    """Overlaps, broken keep-clears, blocked rooms, rods out of line and missed relations of the vehicle as it stands.

    A fault is told of the part that comes first in the file, but of one in ``first`` rather than of any other: of what
    was just put there it is said how it, and not its neighbour, would have to go.
    """
    rules = rules_now(vehicle)
    placed = {i: place(c) for i, c in vehicle.components.items()}
    runs = {i: run_of(k, vehicle.components) for i, k in vehicle.links.items()}
    faults = [*_part_faults(rules, placed, first), *_link_faults(rules, vehicle, placed, runs)]
    faults.extend(_rod_fault(rod) for rod in rod_faults(vehicle.links, vehicle.components, rules.length))
    faults.extend(
        Fault(
            kind=CauseKind.RELATION, part=miss.relation.part, other=miss.relation.id, text=miss.text, mm=miss.mm or 0.0
        )
        for miss in rules.kept.all_of(placed)
    )
    return tuple(faults)


def drawn_rods(vehicle: Vehicle, job: Job) -> tuple[Fault, ...]:
    """Rods out of line as a job draws them: those it brings, and those at a part that it brings.

    ``brought`` of each is the id of that link or part. What the job moves is measured where it is moved.
    """
    asked = asked_by(vehicle, job)
    found = []
    for rod in rod_faults(asked.links, asked.base, rules_now(vehicle).length):
        ends = (e.component for e in asked.links[rod.link].ends)
        brought = rod.link if rod.link in asked.links_new else next((e for e in ends if e in asked.new), "")
        if brought:
            found.append(replace(_rod_fault(rod), brought=brought))
    return tuple(found)


def _rod_fault(rod: RodFault) -> Fault:
    return Fault(
        kind=CauseKind.LINKED_TO,
        part=rod.link,
        other=rod.other,
        text=rod.text,
        mm=rod.mm,
        at_mm=rod.at_mm,
        lean_deg=rod.lean_deg,
    )


def kept_now_mm(vehicle: Vehicle, one: str, other: str) -> float:
    """The gap [mm] that two parts or links are to keep in the vehicle as it stands."""
    things: dict[str, Component | Link] = {**vehicle.links, **vehicle.components}
    return rules_now(vehicle).keeps.keep(things[one], things[other]).mm


def _part_faults(rules: PairRules, placed: dict[str, Placed], front: Container[str]) -> list[Fault]:
    ids = list(placed)
    margins = [rules.keeps.reach_mm(placed[i].part) for i in ids]
    pairs = set(close_pairs([placed[i].body for i in ids], margins)) | _room_pairs(placed, ids)
    faults: list[Fault] = []
    for a, b in sorted(pairs):
        turned = ids[b] in front and ids[a] not in front
        first, second = (placed[ids[b]], placed[ids[a]]) if turned else (placed[ids[a]], placed[ids[b]])
        faults.extend(
            Fault(kind=c.kind, part=c.part, other=c.other, text=c.text, mm=c.mm or 0.0, at_mm=c.at_mm)
            for c in rules.between(first, second)
            if c.kind is not CauseKind.RELATION
        )
    return faults


def _room_pairs(placed: dict[str, Placed], ids: list[str]) -> set[tuple[int, int]]:
    """Pairs in which one part may stand in an always-needed room of the other."""
    owners = [n for n, i in enumerate(ids) for _ in placed[i].rooms]
    rooms = [body for i in ids for _, body in placed[i].rooms]
    count = len(rooms)
    pairs: set[tuple[int, int]] = set()
    for a, b in near_pairs([*rooms, *(placed[i].body for i in ids)], 0.0):
        if a < count <= b and owners[a] != b - count:
            low, high = sorted((owners[a], b - count))
            pairs.add((low, high))
    return pairs


def _link_faults(rules: PairRules, vehicle: Vehicle, placed: dict[str, Placed], runs: dict[str, Body]) -> list[Fault]:
    links, parts = list(runs), list(placed)
    bodies = [*(runs[i] for i in links), *(placed[i].body for i in parts)]
    things: list[Component | Link] = [*(vehicle.links[i] for i in links), *(placed[i].part for i in parts)]
    count = len(links)
    faults: list[Fault] = []
    for a, b in close_pairs(bodies, [rules.keeps.reach_mm(thing) for thing in things]):
        if a >= count:
            continue
        link = vehicle.links[links[a]]
        if b < count:
            faults.extend(_crossing(rules, link, vehicle.links[links[b]], bodies[a], bodies[b]))
        else:
            faults.extend(_in_run(rules, link, bodies[a], placed[parts[b - count]]))
    return faults


def _in_run(rules: PairRules, link: Link, run: Body, part: Placed) -> list[Fault]:
    if not rules.link_hit(link, run, part):
        return []
    found = gap(part.body, run)
    where = place_words(part.body, found.at_mm)
    name = part.part.name
    if found.mm < -TOUCH_MM:
        text = f"{link.name} runs through {name} at its {where}"
        mm, at_mm = -found.mm, found.at_mm
        return [Fault(kind=CauseKind.CLASH, part=link.id, other=part.part.id, text=text, mm=mm, at_mm=at_mm)]
    needed = rules.keeps.keep(link, part.part).mm
    near, kept = rules.length(max(0.0, found.mm)), rules.length(needed)
    text = f"{link.name} runs {near} from {name} at its {where}, {kept} is to be kept"
    mm, at_mm = needed - found.mm, found.at_mm
    return [Fault(kind=CauseKind.KEEP_CLEAR, part=link.id, other=part.part.id, text=text, mm=mm, at_mm=at_mm)]


def _crossing(rules: PairRules, first: Link, second: Link, a: Body, b: Body) -> list[Fault]:
    found = crossing_of((first, a), (second, b))
    if found is None:
        return []
    depth_mm = -found.mm
    text = f"{first.name} and {second.name} run {rules.length(depth_mm)} through each other"
    return [Fault(kind=CauseKind.CLASH, part=first.id, other=second.id, text=text, mm=depth_mm, at_mm=found.at_mm)]
