"""What a mending asks for: the states it is done in, what is away from it, and what is said of it."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import replace

from planner.knockon import watch_states
from planner.model.job import Mending, OwnTask
from planner.model.vehicle import Component
from planner.model.words import KINDLING, Deed
from planner.model.work import Demand, Feature
from planner.work.bodies import Ground
from planner.work.circuits import circuit_id, opened_circuits, state_id
from planner.work.tasks import TaskBook

UNSAID = (
    "Nobody said what this mending does. Before it welds, grinds or drills the battery is off, fuel and brake lines "
    "are away and somebody watches for fire; nobody goes under a vehicle that is not on stands"
)
_STATES = {Deed.CUT: ("battery-isolated",), Deed.UNDER: ("on-stands",)}
_CAUTIONS = {
    Deed.WELD: ("welding", "hot work"),
    Deed.GRIND: ("cutting", "hot work"),
    Deed.CUT: ("drilling", "cutting"),
    Deed.OPEN: ("draining",),
    Deed.UNDER: ("lifting",),
}
FUEL_HEATED = (
    "What held fuel explodes when it is heated, ground or drilled, however long it has been empty and open: not at "
    "home, not on the vehicle. Hand it to somebody who cleans it, proves it free of vapour and then mends it, or fit "
    "another; the same for a battery that gasses"
)
FAR_SIDE = "Before the first spark look at the far side, no fuel or brake line, wire, trim or wax near"
_DONE = {
    Deed.WELD: "it welds, brazes or heats: look at both faces with lens and lamp before paint or a part covers it",
    Deed.GRIND: "it grinds, sparks fly; what it bares is primed and painted after its look, far from another spark",
    Deed.CUT: "it drills or cuts; bare edges are painted before anything covers them",
    Deed.UNDER: "somebody works under the vehicle",
    Deed.UNSAID: "nobody said what it does",
}


def mending_demands(ground: Ground, own: OwnTask) -> list[Demand]:
    """States, open circuits and absent parts that a mending is done with; at the bench only what its owner asks for."""
    mending = own.mending
    if mending is None or own.at_bench:
        return []
    known = ground.catalog.conditions
    states = [s for deed in mending.does for s in _STATES.get(deed, ()) if s in known]
    states += ground.catalog.hot_conditions if Deed.WELD in mending.does else ()
    states += watch_states(ground.catalog) if own.burns else ()
    states += _reached_in(ground, mending)
    demands = [Demand(feature=circuit_id(s), on=False) for s in mending.opens if s in opened_circuits(ground)]
    for system in mending.opens:
        states += _kind_needs(ground, system)
    near = sorted(ground.knockons.hot_near.get(own.id, ()))
    demands += [Demand(feature=b, on=False) for b in near if b in ground.handled]
    return [*(Demand(feature=state_id(s), on=True) for s in dict.fromkeys(states)), *demands]


def mended_first(ground: Ground, book: TaskBook, features: Mapping[str, Feature]) -> dict[str, Feature]:
    """The features with each part and link fitted, or joined again, only after the mendings that come before it.

    What is looked at bare is looked at before, too.
    """
    waits: dict[str, list[str]] = defaultdict(list)
    for own in ground.job.tasks:
        for name in own.mending.ahead if own.mending is not None else ():
            if name not in own.fitted:
                waits[name] += [own.id, *book.looks_at(own.id)]
    return {i: _waiting(f, waits.get(f.subject, [])) for i, f in features.items()}


def _waiting(feature: Feature, tasks: Iterable[str]) -> Feature:
    fits = feature.turn_on
    if fits is None or not feature.goal:
        return feature
    return replace(feature, turn_on=replace(fits, after=tuple(dict.fromkeys((*fits.after, *tasks)))))


def _reached_in(ground: Ground, mending: Mending) -> tuple[str, ...]:
    """The states in which hands reach a part that is mended in its place: those in which it is taken off."""
    try:
        part = ground.part(mending.on)
    except KeyError:
        return ()
    return part.needs if {*mending.does} - {Deed.PLAIN} else ()


def _kind_needs(ground: Ground, system: str) -> tuple[str, ...]:
    there = ground.vehicle.systems.get(system)
    return () if there is None else ground.catalog.system_kinds[there.kind].needs


def mending_cautions(ground: Ground, own: OwnTask) -> tuple[str, ...]:
    """Cautions of what it does, of the group of what is mended, and of the circuits that are open."""
    mending = own.mending
    if mending is None:
        return ()
    standing = ground.catalog.cautions
    keys = [k for deed in mending.does for k in _CAUTIONS.get(deed, ())]
    keys += _groups(ground, mending)
    first = (UNSAID,) if Deed.UNSAID in mending.does else (FAR_SIDE,) if own.burns else ()
    first = (FUEL_HEATED, *first) if _holds_fuel(ground, mending) and KINDLING & {*mending.does} else first
    return tuple(dict.fromkeys((*first, *(standing[k] for k in keys if k in standing))))


def _holds_fuel(ground: Ground, mending: Mending) -> bool:
    try:
        thing = ground.part(mending.on)
    except KeyError:
        return False
    return ground.catalog.is_hole_shy(thing)


def _groups(ground: Ground, mending: Mending) -> list[str]:
    kinds = ground.catalog.system_kinds
    groups = [kinds[ground.vehicle.systems[s].kind].group for s in mending.opens if s in ground.vehicle.systems]
    try:
        return [ground.part(mending.on).group, *groups]
    except KeyError:
        return groups


def mending_notes(ground: Ground, own: OwnTask) -> tuple[str, ...]:
    """Where it was found and what it does, in words."""
    mending = own.mending
    if mending is None:
        return ()
    notes = []
    try:
        part = ground.part(mending.on)
        where = "at the bench: it is off" if own.at_bench else "in its place" if isinstance(part, Component) else ""
        notes.append(f"found at {part.name}" + (f", mended {where}" if where else ""))
    except KeyError:
        pass
    notes += [_DONE[deed] for deed in mending.does if deed in _DONE]
    notes += [f"{ground.name(s)} is open" for s in mending.opens if s in ground.vehicle.systems]
    return tuple(notes)
