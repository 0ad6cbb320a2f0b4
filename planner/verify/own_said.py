"""Own tasks: whether each is done as its owner wrote it: after and before what, with what off, fitted and holding."""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import TypeAlias

from planner.model.catalog import Catalog, Demanded, When
from planner.model.effects import EffectKind, Knockons
from planner.model.job import Job, OwnTask, TakeOff
from planner.model.vehicle import Vehicle
from planner.model.words import GATES, Work
from planner.model.work import Task, WorkList
from planner.verify.sequence import Order, tasks_before
from planner.verify.templates_called import Called, templates_called

_Facts: TypeAlias = "tuple[Vehicle, Knockons, WorkList, Job, Order]"


def own_faults(
    vehicle: Vehicle, knockons: Knockons, work: WorkList, catalog: Catalog, job: Job | None, order: Order
) -> Iterator[str]:
    """Give a sentence for each own task that is lost, or may be done otherwise than its owner asks."""
    for own in () if job is None else job.tasks:
        task = work.tasks.get(own.id)
        if task is None:
            yield f"own task `{own.id}` is not in the work list"
        elif job is not None:
            facts = (vehicle, knockons, work, job, order)
            yield from _lacking(facts, own, task)
            yield from _bodies(facts, own, task)
            yield from _too_early(facts, own, task)
            yield from _too_late(facts, own, task)
    for change in () if job is None else job.changes:
        if isinstance(change, TakeOff) and _homes(work, change.part):
            name = f"{change.part}.off"
            asked = {d.feature for d in work.tasks[name].demands if not d.on} if name in work.tasks else set()
            if not asked & _homes(work, change.part):
                yield f"`{change.part}` is to come off, and no step is done with it off"
    for called in () if job is None else templates_called(vehicle, knockons, catalog, job):
        yield from _not_back(knockons, work, job, order, called)


def _lacking(facts: _Facts, own: OwnTask, task: Task) -> Iterator[str]:
    work = facts[2]
    if task.minutes < own.minutes or task.hands < own.hands or (task.splits and not own.splits):
        yield f"`{own.id}` is given less time, or fewer hands, or is laid down, and its owner says otherwise"
    if task.keep_min < own.lag_min:
        yield f"what `{own.id}` is done to may be changed within the {own.lag_min} min that it is to be left alone"
    held = {work.features[d.feature].subject for d in task.demands if d.on and d.feature in work.features}
    for state in sorted({*own.conditions} - held):
        yield f"`{own.id}` may be done while `{state}` does not hold"


def _bodies(facts: _Facts, own: OwnTask, task: Task) -> Iterator[str]:
    work = facts[2]
    on, off = ({d.feature for d in task.demands if d.on is wanted} for wanted in (True, False))
    for part in own.off:
        for body in sorted(_homes(work, part) - off):
            yield f"`{own.id}` may be done with `{body}` in place, and its owner asks for it off"
    first = any(_goes(facts, name) for name in own.before)
    for part in own.fitted:
        # Before something goes, things are as they were.
        old = {i for i in _homes(work, part) if work.features[i].start and not work.features[i].goal}
        if _homes(work, part) and not (old if first and old else _homes(work, part)) & on:
            yield f"`{own.id}` may be done with `{part}` away, and its owner asks for it fitted"


def _homes(work: WorkList, subject: str) -> set[str]:
    return {f.id for f in work.features.values() if f.subject == subject and ":" not in f.id}


def _goes(facts: _Facts, subject: str) -> bool:
    """Whether a part or link is there before the job and not after it."""
    vehicle, knockons, *_ = facts
    before, after = {*vehicle.components, *vehicle.links}, {*knockons.after, *knockons.links_after}
    return subject in before - after


def _work_on(work: WorkList, subject: str) -> list[Task]:
    """The steps of the templates of a part, link or cut."""
    ours = re.compile(rf"{re.escape(subject)}\.(set|adj)?\d+")
    return [t for i, t in sorted(work.tasks.items()) if ours.fullmatch(i)]


def _too_early(facts: _Facts, own: OwnTask, task: Task) -> Iterator[str]:
    """``after``: the own tasks and gates it names, and all work on the parts, links and cuts; what goes is gone."""
    _, knockons, work, job, order = facts
    lags = {t.id: t.lag_min for t in job.tasks}
    waits = {a.task: a.lag_min for a in task.after}
    earlier = tasks_before(order, own.id)
    cuts = {e.subject for e in knockons.effects if e.kind is EffectKind.CUT}
    for name in own.after:
        if name in lags or name in GATES:
            if name not in earlier or waits.get(name, -1) < lags.get(name, 0):
                yield f"`{own.id}` may be done before `{name}`, or sooner after it than its owner allows"
            continue
        gone = [b for b in sorted(_homes(work, name)) if _goes(facts, name)]
        if any(d.on or d.feature not in gone for d in task.demands if d.feature in gone) or (
            gone and not {d.feature for d in task.demands if not d.on} & {*gone}
        ):
            yield f"`{own.id}` may be done while `{name}`, which goes, is still there"
        for step in _work_on(work, name):
            # Paint and sealer at a hole come after the owner's own heat there.
            sealer = name in cuts and step.work is Work.FINISHING and task.apart
            if step.id not in earlier and not sealer:
                yield f"`{own.id}` may be done before `{step.id}`"


def _not_back(knockons: Knockons, work: WorkList, job: Job | None, order: Order, called: Called) -> Iterator[str]:
    """What is done to a part that is back, before it is fitted: after it was made here, or unpacked and measured."""
    part = knockons.after.get(called.subject)
    steps = called.template.steps
    if job is None or part is None or called.when not in {When.MADE, When.BOUGHT} or any(s.away for s in steps):
        return
    fitted = next((n for n, s in enumerate(steps, start=1) if Demanded.FITTED in s.demands), len(steps) + 1)
    last = fitted - 1 if called.when is When.MADE else 1 if steps[0].work is Work.MEASURING else 0
    for own in (o for o in job.tasks if part.id in o.back and o.id in work.tasks):
        for name in (f"{called.prefix}{n}" for n in range(1, last + 1)):
            if name in work.tasks and name not in tasks_before(order, own.id):
                yield f"`{own.id}` may be done before `{name}`, after which `{part.id}` is here"


def _too_late(facts: _Facts, own: OwnTask, task: Task) -> Iterator[str]:
    """``before``: the same the other way round; wires may be labelled first, but come off only after it."""
    _, _, work, job, order = facts
    named = {t.id for t in job.tasks} | {*GATES}
    for name in own.before:
        steps = [work.tasks[name]] if name in named and name in work.tasks else _work_on(work, name)
        labels = [t for t in steps if name not in named and t.work is Work.PLANNING and "abel" in t.title]
        for step in (t for t in steps if t not in labels):
            waits = {a.task: a.lag_min for a in step.after}
            if own.id not in tasks_before(order, step.id) or waits.get(own.id, own.lag_min) < own.lag_min:
                yield f"`{step.id}` may be done before `{task.id}`, or sooner after it than its owner allows"
        leaving = [f for f in work.features.values() if f.id in _homes(work, name) and f.start and not f.goal]
        for feature in leaving if labels or _goes(facts, name) else ():
            if feature.turn_off is not None and own.id not in feature.turn_off.after:
                yield f"`{feature.id}` may come off before `{task.id}`"
