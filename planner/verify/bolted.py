"""Whether what holds something up is drilled for before it bears, and old controls are off before new ones work."""

from __future__ import annotations

from collections.abc import Iterator

import networkx as nx

from planner.model.catalog import Catalog, Work
from planner.model.effects import Knockons
from planner.model.runs import RunSort
from planner.model.vehicle import Vehicle
from planner.model.work import WorkList
from planner.verify.sequence import Node, Order

_DRAWN_BY = (RunSort.CABLE, RunSort.ROD, RunSort.SHAFT)


def bolted_faults(
    vehicle: Vehicle, knockons: Knockons, work: WorkList, catalog: Catalog, order: Order
) -> Iterator[str]:
    """Mountings that may be fitted on a part whose holes are not drilled; cables that may still pull beside a rod."""
    yield from _on_undrilled(knockons, work, catalog, order)
    yield from _fighting(vehicle, knockons, work, catalog)


def _on_undrilled(knockons: Knockons, work: WorkList, catalog: Catalog, order: Order) -> Iterator[str]:
    resting = {k for c in catalog.conditions.values() if c.bears for k in c.whole_parts}
    for feature in work.features.values():
        part = knockons.after.get(feature.subject)
        if part is None or feature.start or feature.goal is not True or not {part.kind, part.group} & resting:
            continue
        fitted: Node = (feature.id, True)
        before = {ref for ref, on in nx.ancestors(order, fitted) if on is None} if fitted in order else set()
        below, seen = part.mounted_on, set[str]()
        while below in knockons.after and below not in seen:
            seen.add(below)
            for late in sorted(set(_drilling_for(work, below)) - before):
                yield f"`{feature.id}` may bear on `{below}` before `{late}` makes the holes that hold it"
            below = knockons.after[below].mounted_on


def _drilling_for(work: WorkList, part: str) -> Iterator[str]:
    """Steps of a part that drill on the vehicle: those with the battery off."""
    off = {i for i, f in work.features.items() if f.subject == "battery-isolated"}
    for task in work.tasks.values():
        name, _, number = task.id.rpartition(".")
        on_vehicle = any(d.on and d.feature in off for d in task.demands)
        if name == part and number.isdigit() and task.work is Work.DRILLING and on_vehicle:
            yield task.id


def _fighting(vehicle: Vehicle, knockons: Knockons, work: WorkList, catalog: Catalog) -> Iterator[str]:
    going = [link for i, link in vehicle.links.items() if i not in knockons.links_after and i in work.features]
    for feature in work.features.values():
        new = knockons.links_after.get(feature.subject)
        fitting = feature.turn_on
        if new is None or feature.start or fitting is None:
            continue
        asked_off = {d.feature for d in fitting.demands if not d.on}
        for old in going:
            kinds = [catalog.link_kinds[link.kind] for link in (new, old)]
            same = kinds[0].group == kinds[1].group and all(k.run in _DRAWN_BY for k in kinds)
            ends = {e.component for e in new.ends} & {e.component for e in old.ends}
            if same and ends and old.id not in asked_off:
                yield f"`{feature.id}` may be joined to `{min(ends)}` while `{old.id}` still works it"
