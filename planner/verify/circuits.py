"""Circuits that hold fluid: whether one may be filled with an open end in it, or in one that shares a part with it."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from planner.model.catalog import Catalog, When, Work
from planner.model.effects import Knockons
from planner.model.vehicle import Vehicle
from planner.model.work import Demand, Feature, WorkList
from planner.verify.sequence import Order, tasks_before


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
        yield from _unsigned(work, feature, kind.open_checks)
        if not feature.start or feature.turn_off is None:
            continue
        for check in kind.open_checks:
            if check not in feature.turn_off.checks or check not in work.checkpoints:
                yield f"`{feature.id}` may be opened and check `{check}` not signed after it"
        held = {work.features[d.feature].subject for d in feature.turn_off.demands if d.on}
        if kind.open_in and kind.open_in not in held and (kind.open_in in here or kind.inside not in held):
            yield f"`{feature.id}` may be opened while `{kind.open_in}` does not hold"


def _unsigned(work: WorkList, circuit: Feature, checks: Iterable[str]) -> Iterator[str]:
    """Parts and links that open a circuit as they come off, without the checks of its opening signed after each."""
    if not circuit.start:
        return
    open_now = Demand(feature=circuit.id, on=False)
    for part in (f.turn_off for f in work.features.values() if f.turn_off is not None and f.id != circuit.id):
        for check in checks if part.work is Work.REMOVING and open_now in part.demands else ():
            if check not in part.checks:
                yield f"`{part.feature}` opens `{circuit.id}` as it comes off, and check `{check}` not signed after it"


def beside_faults(
    vehicle: Vehicle, knockons: Knockons, work: WorkList, catalog: Catalog, order: Order
) -> Iterator[str]:
    """Every circuit that is not opened, hangs on a reservoir that is drawn down, and need not be looked at after it."""
    kinds = {i: catalog.system_kinds[s.kind] for i, s in vehicle.systems.items() if s.kind in catalog.system_kinds}
    circuits = {f.subject: f for f in work.features.values() if f.subject in kinds}
    used = {s for part in knockons.after.values() for s in part.systems}
    for part in vehicle.components.values():
        mine = [s for s in part.systems if s in kinds and kinds[s].fluid]
        holds = any(part.kind in kinds[s].holds for s in mine)
        full = [s for s in mine if s in circuits and circuits[s].start and circuits[s].turn_on is not None]
        for other in (s for s in mine if holds and s not in circuits and s in used and kinds[s].beside):
            for drawn in (s for s in full if kinds[s].fluid == kinds[other].fluid):
                yield from _looked_beside(work, catalog, order, circuits[drawn], (other, kinds[drawn].id))


def _looked_beside(
    work: WorkList, catalog: Catalog, order: Order, drawn: Feature, other: tuple[str, str]
) -> Iterator[str]:
    """Whether a circuit is looked at when a drawn one is full for good, and before what is checked of that one."""
    system, kind = other
    looks = {
        i
        for i, t in work.tasks.items()
        if t.work is Work.FILLING
        and i.rpartition(".")[0] == system
        and Demand(feature=drawn.id, on=True, last=True) in t.demands
    }
    if not looks:
        yield f"`{drawn.id}` draws down what `{system}` is fed from, and nobody looks at that after it"
        return
    for task_id, task in sorted(work.tasks.items()):
        point = work.checkpoints.get(task.checkpoint or "")
        rule = None if point is None else catalog.rules.get(point.rule)
        calls = rule is not None and any(t.when is When.OPENED and kind in t.of for t in rule.triggers)
        rests = Demand(feature=drawn.id, on=True, last=True) in task.demands
        if calls and rests and not looks & tasks_before(order, task_id):
            yield f"`{task_id}` may come before `{system}`, fed from the same reservoir, was looked at"


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
