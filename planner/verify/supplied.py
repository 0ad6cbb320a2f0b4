"""What is bought: whether each step waits for what it takes, fluid at the filling, pins and washers at the fitting."""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import TypeAlias

from planner.model.catalog import Catalog, Demanded, When, Work
from planner.model.effects import Knockons
from planner.model.job import Job
from planner.model.vehicle import Component, Link, Vehicle
from planner.model.work import Feature, WorkList
from planner.verify.sequence import Order, tasks_before
from planner.verify.templates_called import Called, templates_called

_Facts: TypeAlias = "tuple[Vehicle, Knockons, WorkList, Catalog]"


def supply_faults(
    vehicle: Vehicle, knockons: Knockons, work: WorkList, catalog: Catalog, job: Job | None, order: Order
) -> Iterator[str]:
    """Give a sentence for each purchase that is lost or not waited for, and each end of a push-rod that is not told."""
    facts = (vehicle, knockons, work, catalog)
    for bought in () if job is None else job.purchases:
        if bought.id not in work.buys:
            yield f"`{bought.id}` is to be bought and is not on the list"
        elif bought.for_part is not None:
            fills = [f for f in _circuits(facts, bought.for_part) if _is_fluid(facts, f, bought.what)]
            yield from _waits(fills or _fittings(work, bought.for_part), bought.id)
            yield from _at_bench(facts, [f.subject for f in fills], bought.id)
    for buy in work.buys.values():
        if buy.id == f"buy:{buy.for_part}":
            yield from _waits(_fittings(work, buy.for_part), buy.id)
    for called in templates_called(vehicle, knockons, catalog, job):
        own = [b for b in (() if job is None else job.purchases) if b.for_part == called.subject]
        metal = [b.id for b in own if not any(_is_fluid(facts, f, b.what) for f in _circuits(facts, called.subject))]
        for name in (f"buy:{called.subject}", *metal):
            yield from _in_hand(work, called, order, name)
    yield from _used_up(facts)
    yield from _ends_told(vehicle, knockons, work, catalog, job)


def _waits(features: list[Feature], buy: str) -> Iterator[str]:
    for feature in features:
        if feature.turn_on is not None and buy not in feature.turn_on.purchases:
            yield f"`{feature.id}` may be fitted, or filled, before `{buy}` is here"


def _in_hand(work: WorkList, called: Called, order: Order, buy: str) -> Iterator[str]:
    """What is shaped, measured at the bench or tried is here; of what somebody else makes, once that is back."""
    if buy not in work.buys or called.when not in {When.MADE, When.BOUGHT, When.LINK_MADE}:
        return
    steps = called.template.steps
    sent = max((n for n, s in enumerate(steps, start=1) if s.away), default=0)
    for number, step in enumerate(steps, start=1):
        task = work.tasks.get(f"{called.prefix}{number}")
        if task is None or number <= sent or not (step.work in _SHAPING or Demanded.OFF in step.demands):
            continue
        by_then = {task.id, *tasks_before(order, task.id)} & work.tasks.keys()
        if not any(buy in work.tasks[i].purchases for i in by_then):
            yield f"`{task.id}` may be done before `{buy}` is here"


_SHAPING = frozenset({Work.CUTTING, Work.BENDING, Work.WELDING, Work.TRIAL_FIT})


def _fittings(work: WorkList, subject: str) -> list[Feature]:
    return [f for _, f in sorted(work.features.items()) if f.subject == subject and ":" not in f.id and f.goal]


def _systems(facts: _Facts, subject: str) -> set[str]:
    vehicle, knockons, *_ = facts
    parts: dict[str, Component | Link] = {**vehicle.components, **vehicle.links}
    parts |= {**knockons.after, **knockons.links_after}
    thing = parts.get(subject)
    named = () if thing is None else thing.systems if isinstance(thing, Component) else (thing.system,)
    return {s for s in named if s is not None}


def _circuits(facts: _Facts, subject: str) -> list[Feature]:
    """The circuits of a part or link that are filled in this job."""
    wet = _systems(facts, subject)
    known = (f for i, f in sorted(facts[2].features.items()) if i.startswith("circuit:"))
    return [f for f in known if f.subject in wet and f.turn_on is not None]


def _is_fluid(facts: _Facts, circuit: Feature, what: str) -> bool:
    """Whether something is called as the fluid of a circuit is, with no thing named after it: a cap is no fluid."""
    catalog = facts[3]
    kind = catalog.system_kinds[facts[0].systems[circuit.subject].kind]
    words = re.findall(r"\w+|[^\w\s]", what.lower())
    for name in (re.findall(r"\w+|[^\w\s]", called.lower()) for called in kind.called):
        for i in range(len(words) - len(name) + 1):
            after = words[i + len(name)] if i + len(name) < len(words) else ""
            if words[i : i + len(name)] == name and not {after, after.removesuffix("s")} & {*catalog.fluid_things}:
                return True
    return False


def _at_bench(facts: _Facts, systems: list[str], buy: str) -> Iterator[str]:
    """A part that is filled in a vice takes the same fluid."""
    _, knockons, work, _ = facts
    effects = {e.id: e.subject for e in knockons.effects}
    for task in work.tasks.values():
        wet = _systems(facts, effects.get(task.effect, "")) & {*systems}
        if task.work is Work.FILLING and wet and buy not in task.purchases:
            yield f"`{task.id}` may be done before `{buy}` is here"


def _used_up(facts: _Facts) -> Iterator[str]:
    """Pins, washers, sealant and fluid that a kind of part, link or circuit takes each time."""
    vehicle, knockons, work, catalog = facts
    for feature in work.features.values():
        part, link = knockons.after.get(feature.subject), knockons.links_after.get(feature.subject)
        fits = feature.turn_on
        if fits is None or feature.id.endswith(":tight") or not feature.goal:
            continue
        uses: tuple[str, ...] = ()
        if feature.id.startswith("circuit:"):
            uses = catalog.system_kinds[vehicle.systems[feature.subject].kind].uses
        elif part is not None and part.kind in catalog.kinds:
            uses = catalog.kinds[part.kind].uses
        elif link is not None and link.kind in catalog.link_kinds:
            uses = catalog.link_kinds[link.kind].uses
        here = [work.buys[b].what for b in fits.purchases if b in work.buys]
        for word in uses:
            if not any(what.startswith(word.partition(":")[0]) for what in here):
                yield f"`{feature.id}` takes {word}, and does not wait for it"


def _ends_told(
    vehicle: Vehicle, knockons: Knockons, work: WorkList, catalog: Catalog, job: Job | None
) -> Iterator[str]:
    """A rod lies loose in a piston and is pinned everywhere else: a step that makes its ends says which is which."""
    for called in templates_called(vehicle, knockons, catalog, job):
        link = knockons.links_after.get(called.subject)
        for number, step in enumerate(called.template.steps if link is not None else (), start=1):
            task = work.tasks.get(f"{called.prefix}{number}")
            if task is None or link is None or "{ends}" not in step.title:
                continue
            pistons = {*catalog.link_kinds[link.kind].pushes} - {"brake-servo"}
            for part in (knockons.after[e.component] for e in link.ends):
                at = f"piston of {part.name}" if part.kind in pistons else part.name
                if at not in task.title:
                    yield f"`{task.id}` does not say how the end at `{part.id}` is made"
