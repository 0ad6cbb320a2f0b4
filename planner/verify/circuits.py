"""Circuits that hold fluid: whether one may be filled with an open end in it, or in one that shares a part with it."""

from __future__ import annotations

from collections.abc import Iterator

from planner.model.catalog import Catalog
from planner.model.effects import Knockons
from planner.model.vehicle import Vehicle
from planner.model.work import Demand, Feature, WorkList


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
        beside = _on_one_bar(feature.subject, vehicle, knockons, catalog)
        for system in sorted(_joined_to(feature, knockons, fluids) | beside):
            for body in final:
                if _is_in(body.subject, system, knockons) and body.id not in asked:
                    yield f"`{feature.id}` may be filled while `{body.id}` of `{system}` is away"


def opening_faults(vehicle: Vehicle, work: WorkList, catalog: Catalog) -> Iterator[str]:
    """Every circuit that may be opened without what makes it safe, or beside other work though what runs out burns."""
    here = {f.subject for f in work.features.values()}
    for feature in work.features.values():
        system = vehicle.systems.get(feature.subject)
        kind = None if system is None else catalog.system_kinds.get(system.kind)
        if kind is None:
            continue
        if kind.apart and not all(t.apart for t in feature.toggles):
            yield f"`{feature.id}` may be opened or closed beside other work"
        for other in work.features.values() if kind.apart else ():
            undone = [t for t in other.toggles if Demand(feature=feature.id, on=False) in t.demands]
            if other.subject not in catalog.conditions and not all(t.apart for t in undone):
                yield f"`{other.id}` may be undone or joined beside other work"
        if not feature.start or feature.turn_off is None:
            continue
        for check in kind.open_checks:
            if check not in feature.turn_off.checks or check not in work.checkpoints:
                yield f"`{feature.id}` may be opened and check `{check}` not signed after it"
        held = {work.features[d.feature].subject for d in feature.turn_off.demands if d.on}
        if kind.open_in and kind.open_in not in held and (kind.open_in in here or kind.inside not in held):
            yield f"`{feature.id}` may be opened while `{kind.open_in}` does not hold"


def _joined_to(feature: Feature, knockons: Knockons, fluids: dict[str, str]) -> set[str]:
    """Systems with which a circuit shares a part and its fluid, through any number of parts."""
    rows = [{s for s in c.systems if fluids.get(s) == fluids[feature.subject]} for c in knockons.after.values()]
    found = {feature.subject}
    while more := {s for row in rows if row & found for s in row - found}:
        found |= more
    return found


def _on_one_bar(system: str, vehicle: Vehicle, knockons: Knockons, catalog: Catalog) -> set[str]:
    """Circuits of the same kind that a pedal or a balance bar works with this one, by a rod into a cylinder of each."""
    worked: dict[str, set[str]] = {}
    for link in knockons.links_after.values():
        if catalog.link_kinds[link.kind].pushes and link.system in vehicle.systems:
            for end in link.ends:
                worked.setdefault(end.component, set()).add(link.system)
    kind = vehicle.systems[system].kind
    return {s for row in worked.values() if system in row for s in row if vehicle.systems[s].kind == kind}


def _is_in(subject: str, system: str, knockons: Knockons) -> bool:
    part, link = knockons.after.get(subject), knockons.links_after.get(subject)
    return (part is not None and system in part.systems) or (link is not None and link.system == system)
