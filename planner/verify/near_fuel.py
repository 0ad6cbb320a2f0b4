"""Holes near fuel and batteries: whether they are made only in the states in which those would be taken off."""

from __future__ import annotations

from collections.abc import Iterator

from planner.model.catalog import Catalog, Work
from planner.model.effects import Knockons
from planner.model.job import Cut, Job
from planner.model.shapes import Pose
from planner.model.vehicle import Component, Link, Vehicle
from planner.model.work import Task, WorkList
from planner.space import Body, closer_than, link_body, port_mm, solid_body


def near_fuel_faults(
    vehicle: Vehicle, knockons: Knockons, work: WorkList, catalog: Catalog, job: Job | None
) -> Iterator[str]:
    """Every hole that may be drilled beside a tank, a fuel line or a battery as if that were not there.

    What is looked at are the neighbours as they stand, cuts, and parts bought or moved; what is made is drilled
    at the bench as well.

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
    for name, hole, reach_mm in _holes(vehicle, knockons, catalog, job) if shy else ():
        drilled = [t for i, t in sorted(work.tasks.items()) if t.work is Work.DRILLING and i.startswith(f"{name}.")]
        for part, body in shy.values() if drilled else ():
            carried = isinstance(part, Component) and part.mounted_on == name
            if part.id != name and not carried and closer_than(hole, body, reach_mm):
                wanted = {*part.needs, *_lines(vehicle, catalog, part)}
                yield from (f for t in drilled for f in _lacking(work, t, part, wanted))


def _lacking(work: WorkList, task: Task, part: Component | Link, wanted: set[str]) -> Iterator[str]:
    held = {work.features[d.feature].subject for d in task.demands if d.on and d.feature in work.features}
    for condition in sorted(wanted - held):
        yield f"`{task.id}` is drilled near `{part.id}` and does not demand `{condition}`"


def _shy(vehicle: Vehicle, catalog: Catalog) -> Iterator[tuple[str, tuple[Component | Link, Body]]]:
    names = set(catalog.hole_shy)
    for i, part in vehicle.components.items():
        if {part.kind, part.group} & names:
            yield i, (part, solid_body(part.solids, part.pose))
    for i, link in vehicle.links.items():
        if {link.kind, link.group} & names:
            first, last = (port_mm(vehicle.components[e.component], e.port) for e in link.ends)
            yield i, (link, link_body(link, first, last))


def _holes(
    vehicle: Vehicle, knockons: Knockons, catalog: Catalog, job: Job | None
) -> Iterator[tuple[str, Body, float]]:
    for cut in (c for c in (() if job is None else job.changes) if isinstance(c, Cut)):
        reach_mm = max(catalog.hole_shy_mm, catalog.hot_reach_mm if cut.welded else 0.0)
        yield cut.id, solid_body((cut.hole,), Pose()), reach_mm
    for i, part in knockons.after.items():
        old = vehicle.components.get(i)
        bought = old is None and part.make_min is None
        if bought or (old is not None and old.pose != part.pose and i in knockons.homes):
            yield i, solid_body(part.solids, part.pose), catalog.hole_shy_mm


def _lines(vehicle: Vehicle, catalog: Catalog, part: Component | Link) -> set[str]:
    """States of hot work that are about a circuit which the neighbour opens."""
    kinds = catalog.kinds if isinstance(part, Component) else catalog.link_kinds
    systems = part.systems if isinstance(part, Component) else (part.system,)
    mine = {vehicle.systems[s].kind for s in systems if s is not None}
    opened = mine & set(kinds[part.kind].opens) if part.kind in kinds else set()
    return {c for c in catalog.hot_conditions if opened & set(catalog.conditions[c].whole)}
