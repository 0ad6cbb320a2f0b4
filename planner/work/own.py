"""The owner's own tasks, and the waiting of asked-for removals."""

from __future__ import annotations

from dataclasses import replace
from itertools import takewhile

import networkx as nx

from planner.knockon import is_watched
from planner.model.catalog import Work
from planner.model.job import OwnTask, TakeOff
from planner.model.words import GATES, KINDLING, ROAD_TEST
from planner.model.work import After, Again, Demand, Spread, Task
from planner.work.bodies import Ground
from planner.work.circuits import state_id
from planner.work.mended import FAR_SIDE, mending_cautions, mending_demands, mending_notes
from planner.work.tasks import TaskBook
from planner.work.waits import all_before, graph_of
from planner.work.watch import WATCHED_BY, own_watch_min, sealed_after, unsealed, watch_demands, watch_notes


def add_own_tasks(ground: Ground, book: TaskBook) -> None:
    """Add the job's own tasks that come after no gate; ``after`` and ``before`` name own tasks, parts, links, cuts."""
    late = _late(ground.job.tasks)
    early = [own for own in ground.job.tasks if own.id not in late]
    for own in early:
        book.add(own.id, _task(ground, book, own))
    for own in early:
        _tie_back(ground, book, own)
        _tie_before(ground, book, own)
    for own in early:
        if own.again:
            book.tasks[own.id] = replace(book.tasks[own.id], again=_again(ground, book, own))
    for own in early:
        if is_watched(own, ground.catalog):
            book.hot[own.id].append(own.id)
        _tie_mending(book, own)
        _tie_broken(ground, book, own)
    sealed_after(ground, book)
    for change in ground.job.changes:
        if isinstance(change, TakeOff) and change.part in ground.handled:
            book.add(change.part, _while_off(ground, change.part))


def _tie_before(ground: Ground, book: TaskBook, own: OwnTask) -> None:
    """Work on what it comes before waits for it; where wires are labelled their label may come first.

    What goes has no work of its own but its coming off: that waits.
    """
    for later in own.before:
        labels = book.labelled.get(later, [])
        old = ground.old(later) if labels or ground.final(later) is None else None
        if old is not None:
            book.off_after[old].append(own.id)
        for task in book.of_subject.get(later, []):
            if task not in labels:
                book.wait(task, [own.id], own.lag_min)


def _tie_back(ground: Ground, book: TaskBook, own: OwnTask) -> None:
    """What is done to a part once it is here is done before it is fitted."""
    for part in own.back:
        book.back[own.id].append(part)
        body = ground.final(part)
        if body is not None:
            book.fit_after[body].append(own.id)


def _tie_broken(ground: Ground, book: TaskBook, own: OwnTask) -> None:
    """What broke is fitted, and tried, only once it is whole again."""
    body = ground.final(own.replaces) if own.replaces else None
    if body is not None:
        book.fit_after[body].append(own.id)
    for trial in book.trial_fits.get(own.replaces, ()):
        book.wait(trial, [own.id])


def _tie_mending(book: TaskBook, own: OwnTask) -> None:
    """Every check that looks at what is mended, or at what it comes before, comes after a mending."""
    if own.mending is None:
        return
    for name in dict.fromkeys((*own.mending.ahead, own.mending.on)):
        book.mended[name].append(own.id)
    if own.burns:
        book.hot[own.id].append(own.id)
    if KINDLING & {*own.mending.does}:
        book.altering.append(own.id)


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
    later = unsealed(ground, book, own)
    earlier = [t for name in own.after for t in _tasks_of(ground, book, name) if t not in later]
    lags = {t.id: t.lag_min for t in ground.job.tasks}
    waits = [After(task=t, lag_min=lags.get(t, 0)) for t in dict.fromkeys(earlier)]
    demands = [Demand(feature=state_id(c), on=True) for c in own.conditions]
    for part in own.off:
        demands += [Demand(feature=b, on=False) for b in _bodies(ground, part) if b in ground.handled]
    # What goes has no work of its own but its coming off.
    gone = [n for n in own.after if not _is_own(ground, n) and ground.final(n) is None and ground.old(n) is not None]
    demands += [Demand(feature=name, on=False) for name in gone]
    for part in own.fitted:
        # A part that goes may be a jig as long as it is there; before something goes, things are as they were.
        homes = (ground.final(part), ground.old(part))
        body = next(filter(None, reversed(homes) if _comes_first(ground, own) else homes), None)
        if body is not None:
            demands.append(Demand(feature=body, on=True))
    demands += [Demand(feature=b, on=False) for part in own.back for b in _bodies(ground, part) if b in ground.handled]
    demands += mending_demands(ground, own)
    demands += watch_demands(ground, own)
    watched = is_watched(own, ground.catalog)
    return Task(
        id=own.id,
        title=own.title,
        work=Work.PLANNING,
        minutes=own.minutes + own_watch_min(ground, own),
        hands=max(own.hands, WATCHED_BY) if watched else own.hands,
        demands=tuple(dict.fromkeys(demands)),
        after=tuple(dict.fromkeys((*waits, *(e for p in own.back for e in _till_back(ground, book, p))))),
        tools=own.tools,
        cautions=_watched_cautions(ground) if watched else mending_cautions(ground, own),
        why="the job's own task" if own.mending is None else "found on the way",
        notes=(*mending_notes(ground, own), *watch_notes(ground, own)),
        keep_min=own.lag_min,
        spread=_spread(own),
        splits=own.splits and not watched,
        apart=own.alone or watched,
    )


def _watched_cautions(ground: Ground) -> tuple[str, ...]:
    standing = ground.catalog.cautions
    return (FAR_SIDE, *(standing[k] for k in ("welding", "hot work") if k in standing))


def _comes_first(ground: Ground, own: OwnTask) -> bool:
    """Whether a task is done before something goes for good."""
    return any(ground.final(n) is None and ground.old(n) is not None for n in own.before)


def _bodies(ground: Ground, part: str) -> list[str | None]:
    """A part in its home of now, and in the one it ends in."""
    return list(dict.fromkeys((part, ground.final(part))))


def _till_back(ground: Ground, book: TaskBook, part: str) -> list[After]:
    """What comes before a part is here: its ordering or handing over, with the wait; of one made at home its making.

    What is bought as it is waits for the parcel, and for what is done as that is opened.
    """
    tasks = [book.tasks[t] for t in book.of_subject.get(part, [])]
    sent = [t for t in tasks if t.id in book.ordering]
    known = ground.knockons.after.get(part)
    if not sent and known is not None and (known.make_min is not None or ground.old(part) is not None):
        there = Demand(feature=ground.final(part) or part, on=True)
        sent = list(takewhile(lambda t: there not in t.demands, tasks))
    elif not sent:
        sent = [t for t in tasks[:1] if t.work is Work.MEASURING]
    lags = {e.task: e.lag_min for t in tasks for e in t.after}
    return [After(task=t.id, lag_min=lags.get(t.id, 0)) for t in sent]


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
