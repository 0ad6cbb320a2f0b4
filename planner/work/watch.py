"""The watch for fire: what is hot on the vehicle, and that nobody goes home before the watch is over."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from planner.knockon import Fact, is_watched, watch_min, watch_states
from planner.model.catalog import When
from planner.model.job import OwnTask
from planner.model.words import Work
from planner.model.work import Demand, Hold
from planner.work.bodies import Ground
from planner.work.circuits import state_id
from planner.work.tasks import TaskBook

WATCHED_BY = 2
"""Pairs of hands at hot work on the vehicle: one welds, one only watches (29 CFR 1910.252(a)(2)(iii))."""
BARE = "where it is still to be welded in it gets weld-through primer only, no paint and no sealer before the last weld"


def with_sparks(ground: Ground) -> Ground:
    """The ground with a fact for each own task that is hot on the vehicle by its own word."""
    hot = (own for own in ground.job.tasks if is_watched(own, ground.catalog))
    more = (Fact(when=When.SPARKS, subject=o.id, effect="", words=frozenset(), why=o.title) for o in hot)
    return replace(ground, facts=(*ground.facts, *more))


def own_watch_min(ground: Ground, own: OwnTask) -> int:
    """Minutes of watching for fire after the last spark: as long as the check made with it asks for."""
    if not own.burns and not is_watched(own, ground.catalog):
        return 0
    return watch_min(ground.catalog)


def watch_notes(ground: Ground, own: OwnTask) -> tuple[str, ...]:
    """What the watch takes of a hot task's time, and that such a task is not laid down."""
    watch = own_watch_min(ground, own)
    told = [f"{watch} min of it are watching for fire after the last spark"] if watch else []
    if watch and own.splits and own.mending is None:
        told.append("done in one session, watch and all: what is too long for that is written as two tasks")
    return tuple(told)


def watch_demands(ground: Ground, own: OwnTask) -> list[Demand]:
    """What is off for other heat, or goes to a new home, is not there yet where it minds the heat of an own task."""
    near = ground.knockons.hot_near.get(own.id, ()) if is_watched(own, ground.catalog) else ()
    return [Demand(feature=b, on=False) for b in sorted(near) if b in ground.handled]


def sealed_after(ground: Ground, book: TaskBook) -> None:
    """Paint and sealer at a hole, or on a made part, come after the last heat that its owner brings there.

    A made part that is painted at the bench is left bare where it is still to be welded in.
    """
    own = {t.id: t for t in ground.job.tasks}
    for task in (t for t in own.values() if t.id in book.tasks and is_watched(t, ground.catalog)):
        for name in sorted(_named_after(task, own) - own.keys()):
            late = book.finishes.get(name, ())
            for finish in late:
                book.wait(finish, [task.id])
            for i in book.of_subject.get(name, ()):
                if name in task.fitted and book.tasks[i].work is Work.FINISHING and BARE not in book.tasks[i].notes:
                    book.tasks[i] = replace(book.tasks[i], notes=(*book.tasks[i].notes, BARE))


def unsealed(ground: Ground, book: TaskBook, own: OwnTask) -> frozenset[str]:
    """The paint and sealer that a hot task comes before, though it comes after all other work there."""
    if not is_watched(own, ground.catalog):
        return frozenset()
    return frozenset(f for name in own.after for f in book.finishes.get(name, ()))


def _named_after(task: OwnTask, own: Mapping[str, OwnTask]) -> set[str]:
    """All that an own task comes after, through any number of others that are hot."""
    found = list(task.after)
    for name in found:
        found += [n for n in own[name].after if n not in found] if name in own else []
    return {*found}


def watch_holds(ground: Ground) -> dict[str, Hold]:
    """No session ends with the watch for fire still on: it is over before anybody goes home.

    So it is set up, and looked at, anew in each session that has heat or sparks on the vehicle.
    """
    known = ground.catalog.conditions
    return {
        (hold := f"left:{state}"): Hold(
            id=hold,
            title=f"nobody goes home with {known[state].name} still to be ended",
            demands=(Demand(feature=state_id(state), on=False),),
        )
        for state in watch_states(ground.catalog)
    }
