"""Pinned links where a part comes off and the link stays: undone before the part, joined when both ends are back.

A rod on its clevis pin, a cable on its nipple, a taper in its arm holds the part it is joined to. Such a link
has a feature of its own, "joined", with its pins and minutes; what is proved of the part is proved with it joined.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace

from planner.knockon import NEW, opened_by
from planner.model.catalog import Work
from planner.model.steps import JOINED
from planner.model.vehicle import Component, Link
from planner.model.work import Demand, Feature, Task, Toggle
from planner.work.bodies import Ground
from planner.work.circuits import circuit_id, opened_circuits, state_id
from planner.work.features import cautions_of, is_pinned
from planner.work.pace import paced


@dataclass(frozen=True, slots=True, kw_only=True)
class Joint:
    """A pinned link, and the bodies that it holds while feature ``id`` is on: joined, or there at all."""

    id: str
    link: Link
    bodies: tuple[str, ...]


def joints_of(ground: Ground) -> tuple[Joint, ...]:
    """Every link that stays as it is, is pinned, and joins something that may come off without the other end."""
    stay = (i for i in ground.knockons.links_after if i in ground.vehicle.links)
    found = (_joint(ground, i) for i in sorted(stay) if not {i, i + NEW} & ground.handled.keys())
    return tuple(j for j in found if j is not None)


def _joint(ground: Ground, link_id: str) -> Joint | None:
    link = ground.knockons.links_after[link_id]
    if not is_pinned(ground, link_id):
        return None
    pairs = zip(ground.vehicle.links[link_id].ends, link.ends, strict=True)
    ends = [{_carrier(ground, e.component) for e in pair} for pair in pairs]
    carriers = ends[0] | ends[1] if ends[0] != ends[1] else set()
    bodies = tuple(i for i, item in ground.handled.items() if item.subject in carriers)
    return Joint(id=f"{link_id}{JOINED}", link=link, bodies=bodies) if bodies else None


def pins_of(ground: Ground) -> tuple[Joint, ...]:
    """Every pinned link that comes off and goes back itself in this job, at its ends as they will be."""
    found = []
    for i, item in ground.handled.items():
        if isinstance(item.part, Link) and item.start and item.goal and is_pinned(ground, item.subject):
            link = ground.knockons.links_after[item.subject]
            homes = (ground.final(e.component) for e in link.ends)
            found.append(Joint(id=i, link=link, bodies=tuple(b for b in homes if b is not None)))
    return tuple(found)


def _carrier(ground: Ground, subject: str) -> str:
    """What a part comes off with: itself, or what it rides on."""
    handled = {item.subject for item in ground.handled.values()}
    part = ground.part(subject)
    while subject not in handled and isinstance(part, Component) and part.rides and part.mounted_on is not None:
        subject = part.mounted_on
        part = ground.part(subject)
    return subject


def with_joints(ground: Ground, joints: Iterable[Joint], features: dict[str, Feature]) -> dict[str, Feature]:
    """Add the joints as features; their parts come off, and are fitted, only while they are undone."""
    found = dict(features)
    for joint in joints:
        for body in joint.bodies:
            known, undone = found[body], Demand(feature=joint.id, on=False)
            found[body] = replace(
                known, turn_on=_asking(known.turn_on, undone), turn_off=_asking(known.turn_off, undone)
            )
        for circuit in (f for f in features.values() if f.subject in ground.vehicle.systems):
            if circuit.turn_on is not None and any(d.on and d.feature in joint.bodies for d in circuit.turn_on.demands):
                whole = _asking(found[circuit.id].turn_on, Demand(feature=joint.id, on=True))
                found[circuit.id] = replace(found[circuit.id], turn_on=whole)
        found[joint.id] = _feature(ground, joint)
    return found


def joined(joints: Iterable[Joint], task: Task) -> Task:
    """A test of a part, or a setting of its link, with its links joined or there, and left so as long as it is."""
    more = [
        Demand(feature=joint.id, on=True, last=demand.last)
        for joint in joints
        for demand in task.demands
        if demand.on and demand.last and demand.feature in joint.bodies
    ]
    return replace(task, demands=tuple(dict.fromkeys((*task.demands, *more)))) if more else task


def _asking(toggle: Toggle | None, demand: Demand) -> Toggle | None:
    return None if toggle is None else replace(toggle, demands=tuple(dict.fromkeys((*toggle.demands, demand))))


def _ends_there(ground: Ground, link: Link) -> str:
    """What a link joins as it is first undone; an end that another part takes over is told with that one."""
    pairs = zip(ground.vehicle.links[link.id].ends, link.ends, strict=True)
    told = [(ground.name(before.component), ground.name(after.component)) for before, after in pairs]
    return " and ".join(a if a == b else f"{a} ({b} once that is there)" for a, b in told)


def _feature(ground: Ground, joint: Joint) -> Feature:
    link, kind = joint.link, ground.catalog.link_kinds[joint.link.kind]
    first, last = (ground.name(e.component) for e in link.ends)
    opened = set(opened_by(link, ground.vehicle, ground.catalog)) & set(opened_circuits(ground))
    common = [Demand(feature=state_id(c), on=True) for c in link.needs]
    common += [Demand(feature=circuit_id(s), on=False) for s in sorted(opened)]
    there = [Demand(feature=b, on=True) for b in joint.bodies if ground.handled[b].goal]
    undo = Toggle(
        feature=joint.id,
        on=False,
        title=f"Undo {link.name} between {_ends_there(ground, link)}: {kind.undo}",
        work=Work.REMOVING,
        minutes=paced(ground.job, Work.REMOVING, kind.undo_min),
        hands=link.hands,
        demands=tuple(common),
        tools=link.tools,
        cautions=cautions_of(ground, link, Work.REMOVING),
    )
    join = Toggle(
        feature=joint.id,
        on=True,
        title=f"Join {link.name} between {first} and {last}: {kind.join}",
        work=Work.FITTING,
        minutes=paced(ground.job, Work.FITTING, kind.join_min),
        hands=link.hands,
        demands=(*common, *there),
        tools=link.tools,
        cautions=cautions_of(ground, link, Work.FITTING),
    )
    name = f"{link.name} joined"
    return Feature(id=joint.id, name=name, subject=link.id, start=True, goal=True, turn_on=join, turn_off=undo)
