"""A vehicle and job in which one demand gives by so much: what would be if the owner allowed it."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace

from planner.knockon.demands import Chance, Demand, DemandSort
from planner.knockon.rigid import added, distance_mm
from planner.model.job import Add, AddLink, Change, Cut, Job, Move, Replace
from planner.model.shapes import Pose, Vec
from planner.model.vehicle import Component, Freedom, Keeps, Link, Relation, RoomNeed, Vehicle

Case = tuple[Vehicle, Job]
_AT_MOST = (Keeps.WITHIN, Keeps.LEVEL, Keeps.FOOT_REACH, Keeps.HAND_REACH)
"""Relations that give by a larger number."""


def given(case: Case, demand: Demand, mm: float, keep_mm: float, homes: Sequence[Chance]) -> Case | None:
    """The case with a demand given by ``mm`` (``keep_mm``: the gap that is asked of its pair); None if it cannot give.

    ``homes`` are those it gives for: they say at which faces a space would have to be larger.
    """
    first, last = demand.subjects[0], demand.subjects[-1]
    near_mm = max(0.0, keep_mm - mm)
    ways: dict[DemandSort, Callable[[], Case | None]] = {
        DemandSort.KEEP_CLEAR: lambda: _part(case, first, lambda c: replace(c, near_mm={**c.near_mm, last: near_mm})),
        DemandSort.ROOM: lambda: _part(case, first, lambda c: with_less_room(c, mm)),
        DemandSort.RELATION: lambda: _relation(case, first, mm),
        DemandSort.LIMITS: lambda: _larger_space(case, first, homes),
        DemandSort.LINK: lambda: _link(case, first),
        DemandSort.STAYS: lambda: _part(case, first, lambda c: replace(c, freedom=Freedom.MOVES)),
        DemandSort.KEPT: lambda: _done_without(case, first),
    }
    return ways.get(demand.sort, lambda: None)()


def _done_without(case: Case, part: str) -> Case | None:
    """The case in which a part may go; None when something is mounted on it."""
    if any(c.mounted_on == part for c in case[0].components.values()):
        return None
    return _part(case, part, lambda c: replace(c, freedom=Freedom.MAY_GO))


def without(case: Case, part: str) -> Case | None:
    """The case in which a part, with what is mounted on it and its links, is not there; None when the job needs it."""
    vehicle, job = case
    gone = {part}
    while True:
        more = {i for i, c in vehicle.components.items() if c.mounted_on in gone} - gone
        if not more:
            break
        gone |= more
    if any(named_in(change) & gone for change in job.changes):
        return None
    left = replace(
        vehicle,
        components={i: c for i, c in vehicle.components.items() if i not in gone},
        links={i: k for i, k in vehicle.links.items() if not {e.component for e in k.ends} & gone},
        relations={i: r for i, r in vehicle.relations.items() if not {r.part, r.of} & gone},
        spaces={i: s for i, s in vehicle.spaces.items() if s.on not in gone},
    )
    return left, job


def named_in(change: Change) -> set[str]:
    """Ids of the parts that a change is about, stands on or joins."""
    match change:
        case Add(component=c):
            named = {c.id, c.mounted_on}
        case Replace(part=part, component=c):
            named = {part, c.id, c.mounted_on}
        case Move(part=part, onto=onto):
            named = {part, onto}
        case Cut(host=host):
            named = {host}
        case AddLink(link=link):
            named = {e.component for e in link.ends}
        case _:
            named = {change.part}
    return {i for i in named if i is not None}


def shifted_by(case: Case, subject: str, by_mm: Vec) -> Case | None:
    """The case in which the job puts a part, or cuts a hole, elsewhere by so much; None when it does neither."""
    vehicle, job = case
    changes = tuple(_shifted(c, subject, by_mm) for c in job.changes)
    return None if changes == job.changes else (vehicle, replace(job, changes=changes))


def asked_move_mm(case: Case, part: str) -> float:
    """How far [mm] the job itself moves a part; 0 when it does not."""
    before = case[0].components.get(part)
    tos = [c.to for c in case[1].changes if isinstance(c, Move) and c.part == part]
    return distance_mm(before.pose.at_mm, tos[-1].at_mm) if before is not None and tos else 0.0


def moved_part_way(case: Case, part: str, share: float) -> Case:
    """The case in which the job moves a part only so large a share of the way it asks for."""
    vehicle, job = case
    before = vehicle.components[part].pose.at_mm

    def on_the_way(change: Change) -> Change:
        if not isinstance(change, Move) or change.part != part:
            return change
        x, y, z = (a + share * (b - a) for a, b in zip(before, change.to.at_mm, strict=True))
        return replace(change, to=Pose(at_mm=(x, y, z), turn_deg=change.to.turn_deg))

    return vehicle, replace(job, changes=tuple(on_the_way(c) for c in job.changes))


def _shifted(change: Change, subject: str, by_mm: Vec) -> Change:
    match change:
        case Add(component=c) | Replace(component=c) if c.id == subject:
            return replace(change, component=replace(c, pose=_moved(c.pose, by_mm)))
        case Move(part=part, to=to) if part == subject:
            return replace(change, to=_moved(to, by_mm))
        case Cut(id=cut, hole=hole) if cut == subject:
            return replace(change, hole=replace(hole, pose=_moved(hole.pose, by_mm)))
        case _:
            return change


def _moved(pose: Pose, by_mm: Vec) -> Pose:
    return Pose(at_mm=added(pose.at_mm, by_mm), turn_deg=pose.turn_deg)


def _part(case: Case, part: str, change: Callable[[Component], Component]) -> Case:
    """The case with a part otherwise, in the vehicle or in the job that brings it."""
    vehicle, job = case
    components = {i: change(c) if i == part else c for i, c in vehicle.components.items()}
    changes = tuple(
        replace(c, component=change(c.component)) if isinstance(c, Add | Replace) and c.component.id == part else c
        for c in job.changes
    )
    return replace(vehicle, components=components), replace(job, changes=changes)


def with_less_room(part: Component, mm: float) -> Component:
    """A part with so much less [mm] of the rooms beside its faces that are always needed."""
    rooms = tuple(
        replace(r, depth_mm=max(0.1, r.depth_mm - mm)) if r.needed is RoomNeed.ALWAYS and r.side is not None else r
        for r in part.rooms
    )
    return replace(part, rooms=rooms)


def _relation(case: Case, relation: str, mm: float) -> Case:
    vehicle, job = case

    def eased(relations: dict[str, Relation]) -> dict[str, Relation]:
        return {i: replace(r, by_mm=_eased_mm(r, mm)) if i == relation else r for i, r in relations.items()}

    return replace(vehicle, relations=eased(vehicle.relations)), replace(job, relations=eased(job.relations))


def _eased_mm(relation: Relation, mm: float) -> float:
    return relation.by_mm + mm if relation.keeps in _AT_MOST else relation.by_mm - mm


def _link(case: Case, link: str) -> Case:
    vehicle, job = case
    links: dict[str, Link] = {
        i: replace(k, freedom=Freedom.MOVES) if i == link else k for i, k in vehicle.links.items()
    }
    return replace(vehicle, links=links), job


def leaning(case: Case, link: str, most_deg: float) -> Case:
    """The case in which a rod or shaft may lean so far [deg] out of its line."""
    vehicle, job = case

    def eased(k: Link) -> Link:
        return replace(k, swing_deg=most_deg) if k.id == link else k

    changes = tuple(replace(c, link=eased(c.link)) if isinstance(c, AddLink) else c for c in job.changes)
    return replace(vehicle, links={i: eased(k) for i, k in vehicle.links.items()}), replace(job, changes=changes)


def moved_along(case: Case, part: str, others: Sequence[str]) -> Case | None:
    """The case in which the job moves others by as much as it moves a part; None when it does not move it."""
    vehicle, job = case
    to = next((c.to for c in job.changes if isinstance(c, Move) and c.part == part), None)
    if to is None:
        return None
    x, y, z = (b - a for a, b in zip(vehicle.components[part].pose.at_mm, to.at_mm, strict=True))
    more = [Move(part=i, to=_moved(vehicle.components[i].pose, (x, y, z))) for i in others]
    return vehicle, replace(job, changes=(*job.changes, *more))


def _larger_space(case: Case, space: str, homes: Sequence[Chance]) -> Case:
    vehicle, job = case
    low, high = larger_by(space, homes)
    old = vehicle.spaces[space]
    x, y, z = (s + a + b for s, a, b in zip(old.box.size_mm, low, high, strict=True))
    dx, dy, dz = ((b - a) / 2.0 for a, b in zip(low, high, strict=True))
    box = replace(old.box, size_mm=(x, y, z), pose=_moved(old.box.pose, (dx, dy, dz)))
    return replace(vehicle, spaces={**vehicle.spaces, space: replace(old, box=box)}), job


def larger_by(space: str, homes: Sequence[Chance]) -> tuple[Vec, Vec]:
    """By how much a space would have to be larger at its low and at its high faces for some homes [mm]."""
    inside = [h.overhang for h in homes if h.option is not None and h.option.space == space]
    low = [max((o[0][i] for o in inside), default=0.0) for i in range(3)]
    high = [max((o[1][i] for o in inside), default=0.0) for i in range(3)]
    return (low[0], low[1], low[2]), (high[0], high[1], high[2])
