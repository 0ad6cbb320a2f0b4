"""The owner's own tasks, and the waiting of asked-for removals."""

from __future__ import annotations

from dataclasses import replace

from planner.model.catalog import Work
from planner.model.job import OwnTask, TakeOff
from planner.model.work import After, Again, Demand, Spread, Task
from planner.work.bodies import Ground
from planner.work.circuits import state_id
from planner.work.tasks import TaskBook


def add_own_tasks(ground: Ground, book: TaskBook) -> None:
    """Add the job's own tasks; ``after`` and ``before`` name own tasks, parts, links or cuts."""
    for own in ground.job.tasks:
        book.add(own.id, _task(ground, book, own))
    for own in ground.job.tasks:
        for later in own.before:
            for task in book.of_subject.get(later, []):
                book.wait(task, [own.id], own.lag_min)
    for own in ground.job.tasks:
        if own.again:
            book.tasks[own.id] = replace(book.tasks[own.id], again=_again(ground, book, own))
    for change in ground.job.changes:
        if isinstance(change, TakeOff) and change.part in ground.handled:
            book.add(change.part, _while_off(ground, change.part))


def _task(ground: Ground, book: TaskBook, own: OwnTask) -> Task:
    earlier = [t for name in own.after for t in ([name] if _is_own(ground, name) else book.of_subject.get(name, []))]
    lags = {t.id: t.lag_min for t in ground.job.tasks}
    demands = [Demand(feature=state_id(c), on=True) for c in own.conditions]
    for part in own.off:
        bodies = (part, ground.final(part))
        demands += [Demand(feature=b, on=False) for b in dict.fromkeys(bodies) if b in ground.handled]
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
    earlier = book.before(own.id)
    named = [t for name in own.redo for t in ([name] if _is_own(ground, name) else book.of_subject.get(name, []))]
    return Again(chance=own.again, redo=tuple(t for t in dict.fromkeys(named) if t in earlier))


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
