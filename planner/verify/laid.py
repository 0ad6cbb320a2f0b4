"""What is newly laid: whether a hole may still be drilled, or metal heated, beside it."""

from __future__ import annotations

from collections.abc import Iterator

import networkx as nx

from planner.model.catalog import Catalog, When, Work
from planner.model.effects import Knockons
from planner.model.job import Job
from planner.model.vehicle import Link, Vehicle
from planner.model.work import Task, WorkList
from planner.space import Body, closer_than, port_mm, route_body, solid_body
from planner.verify.near_fuel import holes_made
from planner.verify.sequence import Node, Order

_LAID = frozenset({"pipe", "hose", "cable", "loom"})
_HOLING = frozenset({Work.DRILLING, Work.CUTTING, Work.WELDING})
_DEAD = "battery-isolated"
_ROUNDING_MM = 0.5


def early_laid_faults(
    vehicle: Vehicle, knockons: Knockons, work: WorkList, catalog: Catalog, job: Job | None, order: Order
) -> Iterator[str]:
    """Every hole, weld or own hot task that may come when a new pipe, hose, cable or wire already lies beside it.

    One that cannot be made before that is in its place is let pass.

    Parameters
    ----------
    vehicle : Vehicle
        The vehicle as it stands.
    knockons : Knockons
        What it becomes, with the runs by which links are made.
    work : WorkList
        The answer to be checked.
    catalog : Catalog
        How near is near, and how a kind of link is made.
    job : Job or None
        Its cuts and own tasks.
    order : Order
        What comes before what in every valid order.
    """
    laid = list(_newly_laid(vehicle, knockons, work, catalog))
    for name, hole, reach_mm in (*holes_made(vehicle, knockons, catalog, job), *_heated(knockons, catalog, job)):
        named = [t for i, t in sorted(work.tasks.items()) if name in {i, i.rpartition(".")[0]}]
        tasks = [t for t in named if _at_it(work, t, name)]
        for link, body, feature in laid if tasks else ():
            if name.startswith(f"{link.id}.") or not all(closer_than(h, body, reach_mm - _ROUNDING_MM) for h in hole):
                continue
            for task in tasks:
                for then in _laying(work, link, feature):
                    forced = _comes_before(order, (task.id, None), then) or _comes_before(order, then, (task.id, None))
                    if not forced:
                        yield f"`{task.id}` may be done when `{link.id}` already lies beside it (`{then[0]}`)"


def _newly_laid(
    vehicle: Vehicle, knockons: Knockons, work: WorkList, catalog: Catalog
) -> Iterator[tuple[Link, Body, str]]:
    """Yield links that are new or made anew, as each is led, with the feature of each."""
    fitted = {f.subject: f.id for f in work.features.values() if f.goal and not f.start and ":" not in f.id}
    for link_id, link in sorted(knockons.links_after.items()):
        kind = catalog.link_kinds.get(link.kind)
        led = knockons.runs.get(link_id)
        there = all(e.component in knockons.after for e in link.ends)
        if link_id not in fitted or kind is None or kind.run not in _LAID or not there:
            continue
        if led is None and link_id in vehicle.links:
            continue
        first, last = (port_mm(knockons.after[e.component], e.port) for e in link.ends)
        points = (first, *link.via_mm, last) if led is None else tuple(led.points_mm)
        bend_mm = link.bend_radius_mm if led is None else led.bend_mm
        yield link, route_body(points, bend_mm, link.across_mm), fitted[link_id]


def _heated(knockons: Knockons, catalog: Catalog, job: Job | None) -> Iterator[tuple[str, tuple[Body, ...], float]]:
    """Yield own tasks that bring heat to the vehicle, with each part they ask for and the reach of heat [mm]."""
    rules = (r for r in catalog.rules.values() if any(t.when is When.SPARKS for t in r.triggers))
    states = {c for r in rules for c in r.conditions}
    for own in () if job is None else job.tasks:
        hot = own.mending is None and bool(states & {*own.conditions})
        for part in (knockons.after[p] for p in own.fitted if hot and p in knockons.after):
            yield own.id, (solid_body(part.solids, part.pose),), catalog.hot_reach_mm


def _at_it(work: WorkList, task: Task, name: str) -> bool:
    """Whether a step drills, cuts or heats the vehicle: with the battery off, as nothing at the bench is done."""
    if task.id == name:
        return True
    dead = any(d.on and d.feature in work.features and work.features[d.feature].subject == _DEAD for d in task.demands)
    return task.work in _HOLING and dead


def _laying(work: WorkList, link: Link, feature: str) -> Iterator[Node]:
    """Yield the fitting of a link, and the steps in which it is laid along its run for the first time."""
    yield feature, True
    for task_id, task in sorted(work.tasks.items()):
        if task_id.rpartition(".")[0] == link.id and task.work is Work.TRIAL_FIT:
            yield task_id, None


def _comes_before(order: Order, first: Node, then: Node) -> bool:
    return first in order and then in order and nx.has_path(order, first, then)
