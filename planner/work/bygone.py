"""Work of an earlier version of the program that is no work of today's: kept, told, looked over, never counted.

What was done under a name that is not known any more proves nothing today. What failed, or was left as it must not
stay, goes on as it was agreed: nothing else would put it right.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import replace

from planner.model.bygone import Bygone, look_over_id
from planner.model.catalog import Work
from planner.model.log import DoneLine, Entry, FailedLine, SignedLine, Verdict
from planner.model.standing import Agreed, Standing
from planner.model.steps import known_as, step_of_key
from planner.model.words import FIRST_START, GATES
from planner.model.work import After, Demand, Feature, Task, Toggle, WorkList
from planner.units.spoken import day_words
from planner.work.circuits import state_id
from planner.work.waits import all_before, graph_of

LOOK_MIN, EACH_MIN = 10, 2
"""Minutes to look over what was done, and for each thing of it (starting guess)."""
_STATE = state_id("")
_LOOK = ".look"
"""What the ids of looks before a hole ended with, as long as each was a step of its own."""


def bygone_of(work: WorkList, agreed: Agreed | None, standing: Standing) -> tuple[Bygone, ...]:
    """Everything that the log tells of and the work list of another program does not know; what was so before, first.

    Parameters
    ----------
    work : WorkList
        The whole of it, as today's program makes it.
    agreed : Agreed, optional
        The plan last agreed, by an earlier program; without it everything that ``work`` does not know is given.
    standing : Standing
    """
    return _told_once(work, agreed, (*_done(work, agreed, standing), *_left(work, agreed, standing)))


def strange_to(work: WorkList, agreed: Agreed, standing: Standing) -> tuple[Bygone, ...]:
    """What no plan of a job has ever known, and what was known to be bygone when the last one was agreed."""
    found = (*_done(work, agreed, standing), *_left(work, agreed, standing))
    before = agreed.work.tasks.keys() | agreed.work.features.keys()
    return _told_once(work, agreed, (b for b in found if b.ref not in before))


def _told_once(work: WorkList, agreed: Agreed | None, found: Iterable[Bygone]) -> tuple[Bygone, ...]:
    """Those that were known as such, as long as they are, then the others."""
    known = () if agreed is None else agreed.bygone
    old = {b.ref: b for b in known if b.ref not in work.tasks and b.ref not in work.features}
    fresh = {b.ref: b for b in found if b.ref not in old}
    return (*old.values(), *fresh.values())


def _done(work: WorkList, agreed: Agreed | None, standing: Standing) -> Iterator[Bygone]:
    """Tasks that were done or tried; a check that failed last is carried on with."""
    last = {step_of_key(e.key).ref: e for e in _of_task(standing.entries)}
    ever, tasks = _named(agreed), {} if agreed is None else agreed.work.tasks
    for ref, line in last.items():
        task = tasks.get(ref)
        matters = ref not in ever if task is None else bool(task.effect or task.checkpoint)
        if ref in work.tasks or not matters or (task is not None and _begins_others(task, tasks, work)):
            continue
        failed = isinstance(line, FailedLine) or (isinstance(line, SignedLine) and line.verdict is Verdict.FAILED)
        title = (ref if task is None else task.title) + (" (it failed)" if failed else "")
        carried = failed and task is not None and task.checkpoint is not None
        yield Bygone(ref=ref, title=title, n=line.n, at=line.at, since=standing.begun_by, carried=carried)


def _begins_others(look: Task, before: Mapping[str, Task], work: WorkList) -> bool:
    """Whether a look that was a step of its own is the first part of each step that waited for it.

    Where that is done it was looked at in time; where it is not, it is looked at as that begins.
    """
    waiting = [t.id for t in before.values() if any(a.task == look.id for a in t.after)]
    return look.id.endswith(_LOOK) and bool(waiting) and all(i in work.tasks for i in waiting)


def _left(work: WorkList, agreed: Agreed | None, standing: Standing) -> Iterator[Bygone]:
    """What was left neither as it was nor as it has to end, and whatever was changed that no plan knows."""
    last = {step_of_key(e.key).ref: e for e in standing.entries if isinstance(e, DoneLine)}
    ever, features = _named(agreed), {} if agreed is None else agreed.work.features
    for ref, on in standing.states.items():
        known = features.get(ref)
        astray = ref not in ever if known is None else known.goal is not None and on not in {known.start, known.goal}
        if known_as(ref, work.features) in work.features or ref not in last or not astray:
            continue
        title, line = f"{ref if known is None else known.name}: {'yes' if on else 'no'}", last[ref]
        yield Bygone(ref=ref, title=title, n=line.n, at=line.at, since=standing.begun_by, carried=known is not None)


def _named(agreed: Agreed | None) -> set[str]:
    """Every task and feature that a plan of the job has ever had a step of."""
    return set() if agreed is None else {step_of_key(key).ref for key in agreed.named}


def _of_task(entries: Iterable[Entry]) -> Iterator[DoneLine | SignedLine | FailedLine]:
    for entry in entries:
        if isinstance(entry, DoneLine | SignedLine | FailedLine) and entry.key and step_of_key(entry.key).on is None:
            yield entry


def with_bygone(work: WorkList, before: WorkList | None, bygones: Iterable[Bygone]) -> WorkList:
    """Add what is carried on with, and a step that looks over the rest before anything is started or driven.

    Parameters
    ----------
    work : WorkList
        As today's program makes it.
    before : WorkList, optional
        That of the plan last agreed, from which is taken what is carried on.
    bygones : iterable of Bygone
    """
    found, groups = work, dict[int, list[Bygone]]()
    for one in bygones:
        if one.carried and before is not None and one.ref in before.features:
            found = _with_feature(found, before, before.features[one.ref])
        elif one.carried and before is not None and one.ref in before.tasks:
            found = _with_task(found, before, before.tasks[one.ref])
        else:
            groups.setdefault(one.since, []).append(one)
    for since, group in groups.items():
        found = _held(found, _look_over(since, group))
    return found


def _look_over(since: int, group: Iterable[Bygone]) -> Task:
    told = tuple(f"line {b.n}, {day_words(b.at)}: {b.title}" for b in group)
    return Task(
        id=look_over_id(since),
        title="Look over what was done by an earlier plan and is no step of this one: each is of use, safe and closed",
        work=Work.PLANNING,
        minutes=LOOK_MIN + EACH_MIN * len(told),
        notes=told,
        why="what was done under a name that the program does not know now counts for no step and no check",
    )


def _held(work: WorkList, task: Task) -> WorkList:
    """The list with one task more, which every gate waits for that does not come before it."""
    tasks = {**work.tasks, task.id: task}
    first = all_before(graph_of(tasks.values()), [task.id])
    for gate in GATES:
        if gate in tasks and gate not in first:
            tasks[gate] = replace(tasks[gate], after=(*tasks[gate].after, After(task=task.id)))
    return replace(work, tasks=tasks)


def _with_task(work: WorkList, before: WorkList, task: Task) -> WorkList:
    """A task that failed, with its check; it asks for no more than what is still there."""
    point = None if task.checkpoint is None else before.checkpoints[task.checkpoint]
    carried = replace(
        task,
        demands=tuple(d for d in task.demands if d.feature in work.features),
        after=tuple(a for a in task.after if a.task in work.tasks),
        purchases=tuple(b for b in task.purchases if b in work.buys),
        again=None,
    )
    found = _held(work, carried)
    if point is None:
        return found
    blocked = tuple(t for t in point.blocked if t in work.tasks)
    return replace(found, checkpoints={**found.checkpoints, point.id: replace(point, blocked=blocked)})


def _with_feature(work: WorkList, before: WorkList, feature: Feature) -> WorkList:
    """Something that has to end otherwise than it is: it is changed as was agreed, before the gates."""
    toggles = [_kept(t, work, feature.id) for t in feature.toggles]
    by_way = {t.on: t for t in toggles}
    carried = replace(feature, turn_on=by_way.get(True), turn_off=by_way.get(False))
    checks = {c for t in toggles for c in t.checks if c not in work.checkpoints}
    points = {c: replace(before.checkpoints[c], blocked=()) for c in sorted(checks)}
    first = {task for toggle in toggles for task in toggle.after}
    first |= all_before(graph_of(work.tasks.values()), first)
    tasks = {i: _rests(t, feature, is_first=i in first) for i, t in work.tasks.items()}
    return replace(
        work,
        features={**work.features, feature.id: carried},
        tasks=tasks,
        checkpoints={**work.checkpoints, **points},
    )


def _kept(toggle: Toggle, work: WorkList, own: str) -> Toggle:
    there = {*work.features, own}
    ways = tuple(way for way in toggle.ways if all(d.feature in there for d in way))
    return replace(
        toggle,
        demands=tuple(d for d in toggle.demands if d.feature in there),
        ways=ways,
        after=tuple(t for t in toggle.after if t in work.tasks),
        purchases=tuple(b for b in toggle.purchases if b in work.buys),
    )


def _rests(task: Task, feature: Feature, *, is_first: bool) -> Task:
    """A gate, and a test of a circuit, ask for the feature where it ends, for good from the road test on."""
    if feature.goal is None or is_first:
        return task
    is_circuit = feature.turn_on is not None and feature.turn_on.work is Work.FILLING
    is_proof = is_circuit and task.checkpoint is not None and any(d.last for d in task.demands)
    may_wait = task.id == FIRST_START and feature.id.startswith(_STATE)
    if not (is_proof or task.id in GATES) or may_wait:
        return task
    demand = Demand(feature=feature.id, on=feature.goal, last=is_proof or task.id == GATES[-1])
    return replace(task, demands=(*task.demands, demand))
