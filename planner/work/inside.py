"""States that lie inside one another: how each is entered and left with what is on the vehicle just then.

A fuel line is made safe by closing the tap, but not while the tap is away or is itself what comes off. Where a job
brings about a state that makes this needless (the tank is drained), the other lies inside it, in words of its own.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from planner.model.catalog import Condition, SystemKind
from planner.model.vehicle import Component
from planner.model.work import Demand, Feature, Toggle
from planner.work.bodies import Ground, Handled
from planner.work.circuits import circuit_id, closing_title, opened_circuits, opening_title, state_id, system_kind
from planner.work.conditions import conditions_in


def states_inside(ground: Ground, features: dict[str, Feature]) -> dict[str, Feature]:
    """Tie conditions and circuits to the conditions they lie inside of, and to what is whole when they are left."""
    found = dict(features)
    for condition in ground.catalog.conditions.values():
        if state_id(condition.id) in found:
            _condition(ground, condition, found)
    for system in opened_circuits(ground):
        _circuit(ground, system, system_kind(ground, system), found)
    return found


def opened_safely(ground: Ground, features: dict[str, Feature], demands: Iterable[Demand]) -> dict[str, Feature]:
    """Let circuits be opened in the state that makes it safe, where nothing brings about the one they lie inside of."""
    brought = conditions_in(ground, demands)
    found = dict(features)
    for system in opened_circuits(ground):
        kind, feature = system_kind(ground, system), found[circuit_id(system)]
        if kind.open_in and kind.inside not in brought and feature.start and feature.turn_off is not None:
            safe = Demand(feature=state_id(kind.open_in), on=True)
            found[feature.id] = replace(feature, turn_off=_asking(feature.turn_off, safe))
    return found


def _condition(ground: Ground, condition: Condition, found: dict[str, Feature]) -> None:
    feature = found[state_id(condition.id)]
    enter, leave = feature.turn_on, feature.turn_off
    if enter is None or leave is None:
        return
    if condition.leave_gone and not _is_there(ground, condition.id):
        leave = replace(leave, title=condition.leave_gone)
    leave = replace(leave, ways=_whole_ways(ground, condition))
    shut = [Demand(feature=state_id(c), on=False) for c in condition.never_with if state_id(c) in found]
    enter, leave = _asking(enter, *shut), _asking(leave, *shut)
    if condition.inside and state_id(condition.inside) in found:
        held = Demand(feature=state_id(condition.inside), on=True)
        enter = replace(_asking(enter, held), title=condition.enter_inside or enter.title)
        leave = _asking(leave, held)
        _not_left(found, condition.inside, Demand(feature=feature.id, on=False))
    found[feature.id] = replace(feature, turn_on=enter, turn_off=leave)


def _circuit(ground: Ground, system: str, kind: SystemKind, found: dict[str, Feature]) -> None:
    feature = found[circuit_id(system)]
    opening, closing = feature.turn_off, feature.turn_on
    if kind.inside and state_id(kind.inside) in found:
        if opening is not None:
            title = opening_title(ground, system, kind.open_inside or kind.open)
            both = [c for c in (kind.inside, kind.open_in) if c and state_id(c) in found]
            held = (Demand(feature=state_id(c), on=True) for c in both)
            opening = replace(_asking(opening, *held), title=title)
        if closing is not None:
            closing = replace(closing, title=closing_title(ground, system, kind.close_inside or kind.close))
            _not_left(found, kind.inside, Demand(feature=feature.id, on=True))
    if closing is not None:
        shut = (Demand(feature=state_id(c), on=False) for c in kind.close_without if state_id(c) in found)
        closing = _asking(closing, *shut)
    found[feature.id] = replace(feature, turn_on=closing, turn_off=opening)


def _not_left(found: dict[str, Feature], condition: str, demand: Demand) -> None:
    outer = found[state_id(condition)]
    if outer.turn_off is not None:
        found[outer.id] = replace(outer, turn_off=_asking(outer.turn_off, demand))


def _asking(toggle: Toggle, *demands: Demand) -> Toggle:
    return replace(toggle, demands=tuple(dict.fromkeys((*toggle.demands, *demands))))


def _is_there(ground: Ground, condition: str) -> bool:
    """Whether some part that asks for a condition is there when the job is done."""
    return any(condition in part.needs for part in ground.knockons.after.values())


def _whole_ways(ground: Ground, condition: Condition) -> tuple[tuple[Demand, ...], ...]:
    """What has to be whole in place, as before the job or as after it; or all that the condition bears away."""
    members = [item for item in ground.handled.values() if _is_member(ground, item, condition)]
    states = ([item.id for item in members if item.start], [item.id for item in members if item.goal])
    ways = [tuple(Demand(feature=body, on=True) for body in bodies) for bodies in states]
    if not all(ways):
        return ()
    return tuple(dict.fromkeys((*ways, *_bears_nothing(ground, condition))))


def _is_member(ground: Ground, item: Handled, condition: Condition) -> bool:
    part = item.part
    systems = part.systems if isinstance(part, Component) else tuple(s for s in (part.system,) if s is not None)
    kinds = {ground.vehicle.systems[s].kind for s in systems}
    return bool(kinds & set(condition.whole) or {part.kind, part.group} & set(condition.whole_parts))


def _bears_nothing(ground: Ground, condition: Condition) -> tuple[tuple[Demand, ...], ...]:
    """The way in which everything that a condition bears is away; none where some of it never is."""
    known = {**ground.vehicle.components, **ground.knockons.after}
    borne = {p.id for p in known.values() if p.kind in condition.bears}
    bodies = [item.id for item in ground.handled.values() if item.part.id in borne]
    moving = {ground.handled[b].part.id for b in bodies}
    if not borne or moving < borne:
        return ()
    return (tuple(Demand(feature=b, on=False) for b in bodies),)
