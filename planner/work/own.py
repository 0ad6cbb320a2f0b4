"""The owner's own tasks, and the waiting of asked-for removals."""

from __future__ import annotations

from dataclasses import replace

import networkx as nx

from planner.model.catalog import Work
from planner.model.job import OwnTask, TakeOff
from planner.model.words import GATES, ROAD_TEST
from planner.model.work import After, Again, Demand, Spread, Task
from planner.work.bodies import Ground
from planner.work.circuits import state_id
from planner.work.tasks import TaskBook
from planner.work.waits import all_before, graph_of


def add_own_tasks(ground: Ground, book: TaskBook) -> None:
    """Add the job's own tasks that come after no gate; ``after`` and ``before`` name own tasks, parts, links, cuts."""
    late = _late(ground.job.tasks)
    early = [own for own in ground.job.tasks if own.id not in late]
    for own in early:
        book.add(own.id, _task(ground, book, own))
    for own in early:
        for later in own.before:
            for task in book.of_subject.get(later, []):
                book.wait(task, [own.id], own.lag_min)
    for own in early:
        if own.again:
            book.tasks[own.id] = replace(book.tasks[own.id], again=_again(ground, book, own))
    for change in ground.job.changes:
        if isinstance(change, TakeOff) and change.part in ground.handled:
            book.add(change.part, _while_off(ground, change.part))


def with_late_tasks(ground: Ground, book: TaskBook, tasks: dict[str, Task]) -> dict[str, Task]:
    """Add the own tasks that come after a gate. The road test waits for those that do not come after it.

    Nothing else waits for them: what is proved by a gate does not hang on a drive or a look after it.
    """
    late = _late(ground.job.tasks)
    made = {own.id: _task(ground, book, own) for own in ground.job.tasks if own.id in late}
    for own in ground.job.tasks:
        for later in (name for name in own.before if name in late):
            known = made[later]
            made[later] = replace(known, after=(*known.after, After(task=own.id, lag_min=own.lag_min)))
        if own.id in late and own.again:
            made[own.id] = replace(made[own.id], again=Again(chance=own.again, redo=()))
    road = tasks[ROAD_TEST]
    ahead = tuple(After(task=i) for i in made if ROAD_TEST not in late[i])
    return {**tasks, **made, ROAD_TEST: replace(road, after=(*road.after, *ahead))}


def _late(tasks: tuple[OwnTask, ...]) -> dict[str, frozenset[str]]:
    """Own tasks that come after gates, through any number of others, with those gates."""
    own = {t.id for t in tasks}
    names: nx.DiGraph[str] = nx.DiGraph()
    names.add_nodes_from(own)
    names.add_edges_from((first, t.id) for t in tasks for first in t.after)
    names.add_edges_from((t.id, then) for t in tasks for then in t.before if then in own)
    gates = {t.id: frozenset(all_before(names, [t.id]) & {*GATES}) for t in tasks}
    return {task: passed for task, passed in gates.items() if passed}


def _task(ground: Ground, book: TaskBook, own: OwnTask) -> Task:
    earlier = [t for name in own.after for t in _tasks_of(ground, book, name)]
    lags = {t.id: t.lag_min for t in ground.job.tasks}
    demands = [Demand(feature=state_id(c), on=True) for c in own.conditions]
    for part in own.off:
        bodies = (part, ground.final(part))
        demands += [Demand(feature=b, on=False) for b in dict.fromkeys(bodies) if b in ground.handled]
    # What goes has no work of its own but its coming off.
    gone = [n for n in own.after if not _is_own(ground, n) and ground.final(n) is None and ground.old(n) is not None]
    demands += [Demand(feature=name, on=False) for name in gone]
    for part in own.fitted:
        # A part that goes may be a jig as long as it is there.
        body = ground.final(part) or ground.old(part)
        if body is not None:
            demands.append(Demand(feature=body, on=True))
    return Task(
        id=own.id,
        title=own.title,
        work=Work.PLANNING,
        minutes=own.minutes,
        hands=own.hands,
        demands=tuple(dict.fromkeys(demands)),
        after=tuple(After(task=t, lag_min=lags.get(t, 0)) for t in dict.fromkeys(earlier)),
        tools=own.tools,
        why="the job's own task",
        keep_min=own.lag_min,
        spread=_spread(own),
        splits=own.splits,
    )


def _spread(own: OwnTask) -> Spread | None:
    if own.low_min is None or own.high_min is None:
        return None
    return Spread(low_min=own.low_min, high_min=own.high_min)


def _again(ground: Ground, book: TaskBook, own: OwnTask) -> Again:
    """The tasks that ``redo`` stands for: those on a part, link or cut count as far as they come before the trial."""
    earlier = all_before(graph_of(book.tasks.values()), [own.id])
    named = [t for name in own.redo for t in _tasks_of(ground, book, name)]
    return Again(chance=own.again, redo=tuple(t for t in dict.fromkeys(named) if t in earlier))


def _tasks_of(ground: Ground, book: TaskBook, name: str) -> list[str]:
    """The tasks that a name under `after`, `before` or `redo` stands for."""
    return [name] if _is_own(ground, name) or name in GATES else book.of_subject.get(name, [])


def _is_own(ground: Ground, name: str) -> bool:
    return any(name == t.id for t in ground.job.tasks)


def _while_off(ground: Ground, part: str) -> Task:
    return Task(
        id=f"{part}.off",
        title=f"Do what {ground.name(part)} was taken off for",
        work=Work.PLANNING,
        minutes=0,
        demands=(Demand(feature=part, on=False),),
        why="the job asks for it",
        effect=f"comes off and goes back:{part}",
    )
