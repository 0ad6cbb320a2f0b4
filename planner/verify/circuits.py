"""Circuits that hold fluid: whether one may be filled with an open end in it, or in one that shares a part with it."""

from __future__ import annotations

from collections.abc import Iterator

from planner.model.catalog import Catalog
from planner.model.effects import Knockons
from planner.model.vehicle import Vehicle
from planner.model.work import Feature, WorkList


def circuit_faults(vehicle: Vehicle, knockons: Knockons, work: WorkList, catalog: Catalog) -> Iterator[str]:
    """Every circuit that may be filled with something away through which the fluid would run out.

    Parameters
    ----------
    vehicle : Vehicle
        The vehicle as it stands.
    knockons : Knockons
        What it becomes.
    work : WorkList
        The answer to be checked.
    catalog : Catalog
        Which circuits hold which fluid.
    """
    known = {s.id: catalog.system_kinds.get(s.kind) for s in vehicle.systems.values()}
    fluids = {system: kind.fluid for system, kind in known.items() if kind is not None}
    final = [f for f in work.features.values() if f.goal and ":" not in f.id]
    for feature in work.features.values():
        if feature.turn_on is None or not fluids.get(feature.subject):
            continue
        asked = {d.feature for d in feature.turn_on.demands if d.on}
        for system in sorted(_joined_to(feature, knockons, fluids)):
            for body in final:
                if _is_in(body.subject, system, knockons) and body.id not in asked:
                    yield f"`{feature.id}` may be filled while `{body.id}` of `{system}` is away"


def opening_faults(vehicle: Vehicle, work: WorkList, catalog: Catalog) -> Iterator[str]:
    """Every circuit that may be opened in neither of the states that make it safe."""
    for feature in work.features.values():
        system = vehicle.systems.get(feature.subject)
        if system is None or not feature.start or feature.turn_off is None:
            continue
        kind = catalog.system_kinds.get(system.kind)
        if kind is None:
            continue
        held = {work.features[d.feature].subject for d in feature.turn_off.demands if d.on}
        if kind.open_in and not held & {kind.open_in, kind.inside}:
            yield f"`{feature.id}` may be opened while `{kind.open_in}` does not hold"


def _joined_to(feature: Feature, knockons: Knockons, fluids: dict[str, str]) -> set[str]:
    """Systems with which a circuit shares a part and its fluid, through any number of parts."""
    rows = [{s for s in c.systems if fluids.get(s) == fluids[feature.subject]} for c in knockons.after.values()]
    found = {feature.subject}
    while more := {s for row in rows if row & found for s in row - found}:
        found |= more
    return found


def _is_in(subject: str, system: str, knockons: Knockons) -> bool:
    part, link = knockons.after.get(subject), knockons.links_after.get(subject)
    return (part is not None and system in part.systems) or (link is not None and link.system == system)
