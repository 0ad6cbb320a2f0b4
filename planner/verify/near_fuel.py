"""Holes near fuel and batteries: whether they are made only in the states in which those would be taken off."""

from __future__ import annotations

from collections.abc import Iterator

from planner.model.catalog import Catalog, Work
from planner.model.effects import Knockons
from planner.model.job import Cut, Job
from planner.model.shapes import Pose, Vec
from planner.model.vehicle import Component, Link, Vehicle
from planner.model.work import Task, WorkList
from planner.space import Body, closer_than, link_body, port_mm, route_body, solid_body
from planner.verify.through import stretches_in

_POINT_MM = 0.02
_DEAD = "battery-isolated"


def near_fuel_faults(
    vehicle: Vehicle, knockons: Knockons, work: WorkList, catalog: Catalog, job: Job | None
) -> Iterator[str]:
    """Every hole that may be drilled beside a tank, a fuel line or a battery as if that were not there.

    What comes off in the job anyway is off for it, unless work before the hole wants it in place; what may be there is
    named in the step, to be looked for first.

    What is looked at are the neighbours as they stand, cuts, parts bought, made or moved, and what links go through;
    of what is made only the holes in what holds it, as it is drilled at the bench as well. Holes for clips are marked
    where the run is offered up, and are not looked at.

    Parameters
    ----------
    vehicle : Vehicle
        The vehicle as it stands.
    knockons : Knockons
        What it becomes.
    work : WorkList
        The answer to be checked.
    catalog : Catalog
        What is shy of holes, and how near is near.
    job : Job or None
        Its cuts.
    """
    shy = dict(_shy(vehicle, catalog))
    for name, hole, reach_mm in holes_made(vehicle, knockons, catalog, job) if shy else ():
        own = [t for i, t in sorted(work.tasks.items()) if t.work is Work.DRILLING and i.rpartition(".")[0] == name]
        made = name in knockons.after and name not in vehicle.components and knockons.after[name].make_min is not None
        drilled = [t for t in own if not made or _on_the_vehicle(work, t)]
        for part, body in shy.values() if drilled else ():
            carried = isinstance(part, Component) and part.mounted_on == name
            itself = part.id == name or name.startswith(f"{part.id}.")
            if not itself and not carried and all(closer_than(place, body, reach_mm) for place in hole):
                wanted = {*part.needs, *_lines(vehicle, catalog, part)}
                yield from (f for t in drilled for f in _lacking(work, t, part, wanted))
                yield from (f for t in drilled for f in _there(vehicle, knockons, work, t, part))


def _lacking(work: WorkList, task: Task, part: Component | Link, wanted: set[str]) -> Iterator[str]:
    held = {work.features[d.feature].subject for d in task.demands if d.on and d.feature in work.features}
    for condition in sorted(wanted - held):
        yield f"`{task.id}` is drilled near `{part.id}` and does not demand `{condition}`"


def _there(vehicle: Vehicle, knockons: Knockons, work: WorkList, task: Task, part: Component | Link) -> Iterator[str]:
    """A neighbour that is in place though it comes off in the job, or that nobody is told to look for."""
    if any(d.feature == part.id and not d.on for d in task.demands):
        return
    ahead = [task.id]
    for name in ahead:
        ahead += sorted({a.task for a in work.tasks[name].after if a.task in work.tasks} - set(ahead))
    there = {d.feature for name in ahead for d in work.tasks[name].demands if d.on}
    if part.id in work.features and part.id not in _held_by(knockons, vehicle, work, there):
        yield f"`{task.id}` is drilled near `{part.id}` and may be with that in place, though it comes off"
    elif not any(part.name in line for line in task.notes):
        yield f"`{task.id}` is drilled near `{part.id}` and does not say that it is to be looked for"


def _held_by(knockons: Knockons, vehicle: Vehicle, work: WorkList, features: set[str]) -> set[str]:
    """Parts of features, with those they are mounted on or join, before the job or after it, and so on."""
    found = {work.features[f].subject for f in features if f in work.features}
    more = found
    while more:
        parts = [c for pool in (vehicle.components, knockons.after) for i, c in pool.items() if i in more]
        links = [k for pool in (vehicle.links, knockons.links_after) for i, k in pool.items() if i in more]
        on = {c.mounted_on for c in parts if c.mounted_on is not None}
        more = (on | {e.component for k in links for e in k.ends}) - found
        found = found | more
    return found


def _shy(vehicle: Vehicle, catalog: Catalog) -> Iterator[tuple[str, tuple[Component | Link, Body]]]:
    names = set(catalog.hole_shy)
    for i, part in vehicle.components.items():
        if {part.kind, part.group} & names:
            yield i, (part, solid_body(part.solids, part.pose))
    for i, link in vehicle.links.items():
        if {link.kind, link.group} & names:
            first, last = (port_mm(vehicle.components[e.component], e.port) for e in link.ends)
            yield i, (link, link_body(link, first, last))


def holes_made(
    vehicle: Vehicle, knockons: Knockons, catalog: Catalog, job: Job | None
) -> Iterator[tuple[str, tuple[Body, ...], float]]:
    """Yield what a hole is for, bodies each of which a neighbour is near, and how near is near [mm]."""
    for cut in (c for c in (() if job is None else job.changes) if isinstance(c, Cut)):
        reach_mm = max(catalog.hole_shy_mm, catalog.hot_reach_mm if cut.welded else 0.0)
        yield cut.id, (solid_body((cut.hole,), Pose()),), reach_mm
    for i, part in knockons.after.items():
        old = vehicle.components.get(i)
        if old is None or (old.pose != part.pose and i in knockons.homes):
            yield i, (solid_body(part.solids, part.pose),), catalog.hole_shy_mm
    for i, hosts in knockons.pierced.items():
        line = _line(i, knockons)
        for host in (knockons.after[h] for h in hosts if line and h in knockons.after):
            for ends in stretches_in(line, host):
                places = tuple(route_body((end, end), 0.0, _POINT_MM) for end in ends)
                yield f"{i}.{host.id}", places, catalog.hole_shy_mm


def _line(link: str, knockons: Knockons) -> tuple[Vec, ...]:
    """Places that a link leads through when the job is done; nothing where an end is not known."""
    if link in knockons.runs:
        return tuple(knockons.runs[link].points_mm)
    known = knockons.links_after.get(link)
    if known is None or any(e.component not in knockons.after for e in known.ends):
        return ()
    first, last = (port_mm(knockons.after[e.component], e.port) for e in known.ends)
    return (first, *known.via_mm, last)


def _on_the_vehicle(work: WorkList, task: Task) -> bool:
    """Whether a step drills what holds a part that is made: with the battery off, or right after its trial fit."""
    dead = any(d.on and d.feature in work.features and work.features[d.feature].subject == _DEAD for d in task.demands)
    return dead or any(a.task in work.tasks and work.tasks[a.task].work is Work.TRIAL_FIT for a in task.after)


def _lines(vehicle: Vehicle, catalog: Catalog, part: Component | Link) -> set[str]:
    """States of hot work that are about a circuit which the neighbour opens."""
    kinds = catalog.kinds if isinstance(part, Component) else catalog.link_kinds
    systems = part.systems if isinstance(part, Component) else (part.system,)
    mine = {vehicle.systems[s].kind for s in systems if s is not None}
    opened = mine & set(kinds[part.kind].opens) if part.kind in kinds else set()
    return {c for c in catalog.hot_conditions if opened & set(catalog.conditions[c].whole)}
