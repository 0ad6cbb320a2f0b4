"""Checks and the work they look at: each is made after it, with all in place that it has to see."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import TypeAlias

from planner.model.catalog import Blocks, Catalog, CheckpointRule, When, Work
from planner.model.effects import Knockons
from planner.model.job import Job
from planner.model.vehicle import Vehicle
from planner.model.work import Feature, Task, WorkList
from planner.verify.called import Event, called_rules, events_of
from planner.verify.sequence import Order, tasks_before

_Facts: TypeAlias = "tuple[Vehicle, Knockons, WorkList, Catalog, Order]"


def look_faults(
    vehicle: Vehicle, knockons: Knockons, work: WorkList, catalog: Catalog, job: Job | None, order: Order
) -> Iterator[str]:
    """Give a sentence for each check that may be made before the work it looks at, or without what it has to see.

    What is asked before the first cut looks at nothing; what is seen bare has rules of its own.
    """
    facts = (vehicle, knockons, work, catalog, order)
    subjects = {e.id: e.subject for e in knockons.effects}
    steps: dict[str, list[Task]] = {}
    for _, task in sorted(work.tasks.items()):
        name = subjects.get(task.effect, "")
        if name and task.checkpoint is None and task.id.startswith(f"{name}."):
            steps.setdefault(name, []).append(task)
    events = events_of(vehicle, knockons, work, catalog, job)
    for rule, calls in called_rules(catalog, events, vehicle, knockons):
        if Blocks.METAL in rule.blocks or rule.bare:
            continue
        gates = {g.id for g in work.checkpoints.values() if g.rule == rule.id and not g.each_time}
        for task in (t for _, t in sorted(work.tasks.items()) if t.checkpoint in gates):
            yield from _after_work(facts, rule, calls, task, steps)
            yield from _all_there(facts, calls, task)
            if any(not event.subject for event in calls):
                yield from _all_done(facts, task)
    yield from _filled_last(facts, steps)


def _after_work(
    facts: _Facts, rule: CheckpointRule, calls: Sequence[Event], task: Task, steps: dict[str, list[Task]]
) -> Iterator[str]:
    """A check with a step of its own comes after all work on what calls for it; at a hole the paint may follow."""
    _, _, work, _, order = facts
    if task.work is not Work.TESTING:
        return
    earlier = tasks_before(order, task.id)
    hollow = {event.subject for event in calls if event.when in {When.CUT, When.WELDED}}
    names = {event.subject for event in calls if event.subject}
    names |= {m for event in calls if event.when is When.OPENED for m in _members(facts, event.subject)}
    for name in sorted(names & steps.keys()):
        for step in steps[name]:
            paint = step.work is Work.FINISHING and name in hollow
            if not paint and step.id not in earlier and step.id != task.id:
                yield f"`{task.id}` may be made before `{step.id}`, on what rule `{rule.id}` looks at"
    if any(not event.subject for event in calls):
        for other in (t for _, t in sorted(work.tasks.items()) if t.checkpoint is None):
            if other.work is Work.TESTING or other.id in earlier:
                continue
            if task.id not in tasks_before(order, other.id):
                yield f"`{task.id}` may be made before `{other.id}`, and rule `{rule.id}` looks at all of it"


def _members(facts: _Facts, system: str) -> set[str]:
    _, knockons, *_ = facts
    parts = {c.id for c in knockons.after.values() if system in c.systems}
    return parts | {k.id for k in knockons.links_after.values() if k.system == system}


def _final(work: WorkList, subject: str) -> list[Feature]:
    return [f for _, f in sorted(work.features.items()) if f.subject == subject and ":" not in f.id and f.goal]


def _all_there(facts: _Facts, calls: Sequence[Event], task: Task) -> Iterator[str]:
    """What is left open is looked for with all else of the circuits that are worked on in its place."""
    vehicle, _, work, _, _ = facts
    kinds = {kind for event in calls if event.when is When.LEFT_OPEN for kind in event.known_as}
    opened = {f.subject for f in work.features.values() if f.id.startswith("circuit:")}
    systems = {s for s in opened if vehicle.systems[s].kind in kinds}
    on = {d.feature for d in task.demands if d.on}
    for feature in (f for s in systems for m in _members(facts, s) for f in _final(work, m)):
        if feature.id not in on:
            yield f"`{task.id}` may be made with `{feature.id}` away, and looks for ends left open"


def _all_done(facts: _Facts, task: Task) -> Iterator[str]:
    """The look at the whole vehicle is made when every part, circuit and state is as the job leaves it.

    A state that is left by a word, as by saying that the engine is to be run, leaves nothing that could be loose.
    """
    _, _, work, _, _ = facts
    held = {(d.feature, d.on) for d in task.demands}
    for _, feature in sorted(work.features.items()):
        leave = feature.turn_off
        said = not feature.goal and leave is not None and not leave.minutes
        if feature.goal is not None and not said and (feature.id, feature.goal) not in held:
            yield f"`{task.id}` looks at the whole vehicle and may be made while `{feature.id}` is still to be changed"


def _filled_last(facts: _Facts, steps: dict[str, list[Task]]) -> Iterator[str]:
    """A circuit is filled, or set, when all work on its parts and links is done."""
    _, _, work, _, order = facts
    for _, feature in sorted(work.features.items()):
        closing = feature.turn_on if feature.id.startswith("circuit:") else None
        if closing is None:
            continue
        first = {*closing.after} | {t for i in closing.after for t in tasks_before(order, i)}
        for name in sorted(_members(facts, feature.subject) & steps.keys()):
            for step in (s for s in steps[name] if s.id not in first):
                yield f"`{feature.id}` may be filled, or set, before `{step.id}`"
