"""Taking off and fitting: in which states, with which circuits open, in what turn with what it joins or replaces."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TypeAlias

from planner.model.catalog import Catalog
from planner.model.effects import Knockons
from planner.model.vehicle import Component, Link, Vehicle
from planner.model.words import Work
from planner.model.work import Feature, Toggle, WorkList

_Facts: TypeAlias = "tuple[Vehicle, Knockons, WorkList, Catalog]"


def handling_faults(vehicle: Vehicle, knockons: Knockons, work: WorkList, catalog: Catalog) -> Iterator[str]:
    """Give a sentence for each part or link that may be taken off or fitted as nobody should.

    Parameters
    ----------
    vehicle : Vehicle
        As it stands.
    knockons : Knockons
        What it becomes.
    work : WorkList
        The answer to be checked.
    catalog : Catalog
        Which circuits a part or link of a kind opens, and what it is labelled for.
    """
    facts = (vehicle, knockons, work, catalog)
    for _, feature in sorted(work.features.items()):
        thing = _thing(facts, feature)
        if thing is None or ":" in feature.id:
            continue
        for toggle in feature.toggles:
            yield from _states(facts, feature, thing, toggle)
        if feature.turn_off is not None and isinstance(thing, Component) and not feature.goal:
            yield from _links_first(facts, feature, feature.turn_off)
        if feature.turn_on is not None:
            yield from _place_free(facts, feature, thing, feature.turn_on)
    yield from _labelled(facts)


def _thing(facts: _Facts, feature: Feature) -> Component | Link | None:
    """The part or link as it is in that home: as before the job where it starts there, else as after it."""
    vehicle, knockons, *_ = facts
    before: dict[str, Component | Link] = {**vehicle.components, **vehicle.links}
    after: dict[str, Component | Link] = {**knockons.after, **knockons.links_after}
    pools = (before, after) if feature.start else (after, before)
    return next((pool[feature.subject] for pool in pools if feature.subject in pool), None)


def _states(facts: _Facts, feature: Feature, thing: Component | Link, toggle: Toggle) -> Iterator[str]:
    vehicle, knockons, work, _ = facts
    held = {work.features[d.feature].subject for d in toggle.demands if d.on and d.feature in work.features}
    for state in sorted({*thing.needs} - held):
        yield f"`{feature.id}` may be changed ({toggle.title}) while `{state}` does not hold"
    cautions = (facts[3].cautions.get(k) for k in (toggle.work.value, thing.group))
    for caution in (c for c in cautions if c is not None and c not in toggle.cautions):
        yield f"`{feature.id}` ({toggle.title}) does not say: {caution}"
    off = {d.feature for d in toggle.demands if not d.on}
    joined: list[Component | Link] = [thing]
    if isinstance(thing, Component):
        pools = (vehicle.links, knockons.links_after)
        joined += [k for pool in pools for k in pool.values() if thing.id in {e.component for e in k.ends}]
    opened = {s for item in joined for s in _opens(facts, item)}
    for circuit in work.features.values():
        if circuit.id.startswith("circuit:") and circuit.subject in opened and circuit.id not in off:
            yield f"`{feature.id}` may be changed ({toggle.title}) while `{circuit.subject}` is closed"
    access = knockons.access.get(feature.id)
    for body in sorted((access.rooms if access is not None else frozenset()) & work.features.keys() - off):
        yield f"`{feature.id}` may be changed ({toggle.title}) with `{body}` in its working room"


def _opens(facts: _Facts, item: Component | Link) -> set[str]:
    vehicle, _, _, catalog = facts
    known = catalog.kinds.get(item.kind) if isinstance(item, Component) else catalog.link_kinds.get(item.kind)
    systems = item.systems if isinstance(item, Component) else (item.system,)
    kinds = () if known is None else known.opens
    return {s for s in systems if s is not None and vehicle.systems[s].kind in kinds}


def _links_first(facts: _Facts, feature: Feature, toggle: Toggle) -> Iterator[str]:
    """A part leaves its place for good only when the links that go for good are off it."""
    vehicle, _, work, _ = facts
    off = {d.feature for d in toggle.demands if not d.on}
    for name, link in sorted(vehicle.links.items()):
        known = work.features.get(name)
        going = known is not None and known.start and not known.goal
        if going and feature.subject in {e.component for e in link.ends} and name not in off:
            yield f"`{feature.id}` may leave for good with `{name}` still joined to it"


def _place_free(facts: _Facts, feature: Feature, thing: Component | Link, toggle: Toggle) -> Iterator[str]:
    """What stands where it is to go is off, its own old home is left; what a link joins is there."""
    _, knockons, work, _ = facts
    off = {d.feature for d in toggle.demands if not d.on}
    access = knockons.access.get(feature.id)
    shut = {*(access.excludes if access is not None else ())} & work.features.keys()
    shut |= {f.id for f in work.features.values() if f.subject == feature.subject and f.start and not f.goal}
    for body in sorted(shut - {feature.id} - off):
        if ":" not in body:
            yield f"`{feature.id}` may be fitted where `{body}` still is"
    on = {d.feature for d in toggle.demands if d.on}
    for end in sorted({e.component for e in thing.ends}) if isinstance(thing, Link) and feature.goal else ():
        homes = [f for f in work.features.values() if f.subject == end and ":" not in f.id and f.goal]
        for home in (f for f in homes if f.id not in on):
            yield f"`{feature.id}` may be fitted while `{home.id}`, which it joins, is not there"


def _labelled(facts: _Facts) -> Iterator[str]:
    """Wires come off a part, and states that undo it are entered, when its wires are labelled."""
    vehicle, knockons, work, catalog = facts
    subjects = {e.id: e.subject for e in knockons.effects}
    for _, task in sorted(work.tasks.items()):
        part = vehicle.components.get(subjects.get(task.effect, ""))
        if part is None or task.work is not Work.PLANNING or task.demands or "abel" not in task.title:
            continue
        wires = (k for k in vehicle.links.values() if part.id in {e.component for e in k.ends})
        names = {k.id for k in wires if k.group == "electrics"}
        for feature in (work.features[i] for i in sorted(names & work.features.keys())):
            if feature.start and feature.turn_off is not None and task.id not in feature.turn_off.after:
                yield f"`{feature.id}` may come off before `{task.id}`, by which it is labelled"
        for feature in work.features.values():
            state = catalog.conditions.get(feature.subject)
            undoes = state is not None and {part.kind, part.group} & {*state.undoes}
            if undoes and feature.turn_on is not None and task.id not in feature.turn_on.after:
                yield f"`{feature.id}` may be entered before `{task.id}`, by which the wires are labelled"
