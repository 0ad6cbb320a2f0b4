"""What a step of a template wants in place or away: worked out from the catalog's words and the parts themselves."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TypeAlias

import networkx as nx

from planner.model.catalog import Catalog, Demanded, TemplateStep, When, Work
from planner.model.effects import EffectKind, Knockons
from planner.model.vehicle import Component, Link, Vehicle
from planner.model.work import Task, WorkList
from planner.verify.sequence import Order
from planner.verify.templates_called import Called

_SAT_IN = frozenset({"seat", "steering-column", "steering-wheel"})
"""Whoever tries a pedal sits in the one and holds the other."""
_LIFTED = "on-stands"
"""The condition in which nobody sits in the vehicle."""
_SET_WHOLE = frozenset({"throttle", "clutch", "brakes", "steering"})
"""Groups of which a part is set by hand with the whole linkage in place."""
_Facts: TypeAlias = "tuple[Vehicle, Knockons, WorkList, Catalog]"


def body_faults(called: Called, facts: _Facts, task: Task, step: TemplateStep, order: Order) -> Iterator[str]:
    """Give a sentence for each part or link that may be away, or in the way, while a step of a template is done."""
    _, knockons, work, _ = facts
    on = {d.feature for d in task.demands if d.on}
    off = {d.feature for d in task.demands if not d.on}
    last = {d.feature for d in task.demands if d.on and d.last}
    own_needs = _needs(knockons, called)
    held = {work.features[i].subject for i in on if i in work.features}
    for state in sorted(own_needs - held):
        yield f"`{task.id}` may be done while `{state}` does not hold"
    for body in sorted(_wanted_on(called, facts, step) - on):
        if not _comes_later(order, body, task):
            yield f"`{task.id}` may be done with `{body}` away"
    for body in sorted(_wanted_off(called, facts, step) - off):
        yield f"`{task.id}` may be done with `{body}` in place"
    if _sat(step) and _may_be_lifted(task, facts):
        yield f"`{task.id}` may be done with the vehicle on stands, and somebody sits in it"
    if step.work is Work.ADJUSTING and Demanded.FITTED in step.demands:
        for body in sorted(_fitted(called, facts, whole=True) - last):
            yield f"`{body}` may be away as `{task.id}` sets it, or changed after that"


def _sat(step: TemplateStep) -> bool:
    """Whether somebody sits in the vehicle, for a step of a template."""
    return Demanded.SEATED in step.demands or Demanded.ON_WHEELS in step.demands


def _may_be_lifted(task: Task, facts: _Facts) -> bool:
    """Whether nothing keeps the vehicle off its stands for a task that is not itself done with it lifted."""
    _, _, work, catalog = facts
    asked = {work.features[d.feature].subject: d.on for d in task.demands if d.feature in work.features}
    if any(on and _LIFTED in catalog.conditions[i].needs for i, on in asked.items() if i in catalog.conditions):
        return False
    lifts = any(f.subject == _LIFTED for f in work.features.values())
    return lifts and _LIFTED not in asked


def _comes_later(order: Order, body: str, task: Task) -> bool:
    """Whether a part can only be fitted once a step is done, as what rests on holes that are drilled by it."""
    return (body, True) in order and (task.id, None) in nx.ancestors(order, (body, True))


def _needs(knockons: Knockons, called: Called) -> set[str]:
    """The states in which a link is led elsewhere or set: those in which it is taken off."""
    link = knockons.links_after.get(called.subject)
    return set(link.needs) if link is not None and called.when is When.LINK_ADJUSTED else set()


def _places(work: WorkList, subject: str, *, final: bool) -> set[str]:
    """The home in which a part or link ends, or the one it leaves for good."""
    about = [f for f in work.features.values() if f.subject == subject and ":" not in f.id]
    return {f.id for f in about if (f.goal is True if final else f.start and not f.goal)}


def _wanted_on(called: Called, facts: _Facts, step: TemplateStep) -> set[str]:
    vehicle, knockons, work, _ = facts
    found: set[str] = set()
    if Demanded.FITTED in step.demands:
        found |= _fitted(called, facts, whole=False)
    if Demanded.LIMITS_FITTED in step.demands:
        for body in _places(work, called.subject, final=True):
            found |= knockons.limits.get(body, frozenset()) & work.features.keys()
    part = knockons.after.get(called.subject)
    if Demanded.HOST_FITTED in step.demands and part is not None:
        found |= {body for host in fixed_to(knockons, part) for body in _places(work, host, final=True)}
    if Demanded.SEATED in step.demands:
        sat_in = {c.id for c in vehicle.components.values() if c.kind in _SAT_IN}
        seats = {f.id for f in work.features.values() if f.start and f.subject in sat_in and ":" not in f.id}
        found |= seats - _wanted_off(called, facts, step)
    return found


def fixed_to(knockons: Knockons, part: Component) -> list[str]:
    """What holds a part: what it is mounted on, and what else of that kind its fixings rest on, as on two rails."""
    host = knockons.after.get(part.mounted_on or "")
    if host is None:
        return []
    beside = [knockons.after[t] for t in part.touches if t in knockons.after and part.fixings]
    return [host.id, *(b.id for b in beside if b.kind == host.kind and b.id != host.id)]


def _fitted(called: Called, facts: _Facts, *, whole: bool) -> set[str]:
    """The part itself; of a link what it joins, and itself where it is set; all of its circuit where that is worked."""
    _, knockons, work, _ = facts
    thing: Component | Link | None = knockons.after.get(called.subject) or knockons.links_after.get(called.subject)
    if thing is None or called.when in {When.PASSED, When.LEFT}:
        return set()
    names = {called.subject} if isinstance(thing, Component) else {e.component for e in thing.ends}
    if called.when is When.LINK_ADJUSTED:
        names.add(called.subject)
    if whole and thing.group in _SET_WHOLE:
        systems = {*(thing.systems if isinstance(thing, Component) else (thing.system,))} - {None}
        names |= {c.id for c in knockons.after.values() if systems & {*c.systems}}
        names |= {k.id for k in knockons.links_after.values() if k.system in systems}
    return {body for name in names for body in _places(work, name, final=True)}


def _wanted_off(called: Called, facts: _Facts, step: TemplateStep) -> set[str]:
    _, knockons, work, _ = facts
    ends = _places(work, called.subject, final=True)
    found: set[str] = set()
    if Demanded.OFF in step.demands:
        found |= ends
    if Demanded.OLD_OFF in step.demands or (step.away and called.effect.kind is EffectKind.GROWS):
        found |= _places(work, called.subject, final=False)
    if Demanded.ROOM_CLEAR in step.demands:
        found |= knockons.cut_rooms.get(called.subject, frozenset())
        for body in ends & knockons.access.keys():
            found |= knockons.access[body].excludes
    if Demanded.HOST_BARE in step.demands:
        found |= knockons.bare.get(called.subject, frozenset())
    if step.hot:
        found |= knockons.hot_near.get(called.subject, frozenset())
    if called.when is When.LEFT:
        found |= {called.subject}
    return found & work.features.keys()
