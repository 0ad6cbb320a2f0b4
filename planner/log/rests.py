"""What rests on what is written in a log: later steps that were done because of it, and steps that made a thing."""

from __future__ import annotations

from collections.abc import Iterable

from planner.log.questions import held_by, questions_in
from planner.log.ready import piece_of_key
from planner.model.log import ArrivedLine, DoneLine, Entry, SettledLine, SignedLine, SkippedLine
from planner.model.plan import Step
from planner.model.standing import Agreed, Standing
from planner.model.steps import step_of_key, thing_of
from planner.model.words import Work
from planner.model.work import Task, Toggle

MAKING = frozenset(
    {
        Work.MEASURING,
        Work.MOCK_UP,
        Work.MARKING,
        Work.DRILLING,
        Work.CUTTING,
        Work.BENDING,
        Work.WELDING,
        Work.DRESSING,
        Work.FINISHING,
        Work.ROUTING,
    }
)
"""Work that leaves a thing another shape, or says which shape it is to have."""


def resting_on(agreed: Agreed, standing: Standing, line: Entry) -> tuple[str, ...]:
    """Keys of the steps done after a line of the log that needed what it says, in the order they were done.

    A step needs a task it comes after, a state that a step brought about (unless it was changed again before it was
    done), a check that was signed, a question that was settled, a parcel that arrived. Only direct needs count:
    whoever rests on those rests on the line as well, and is told when they are taken back.

    Parameters
    ----------
    line : Entry
        As long as it counts: ``standing`` has it in.
    """
    later = sorted(((d.n, k) for k, d in standing.done.items() if d.n > line.n), key=lambda one: one[0])
    if isinstance(line, ArrivedLine):
        return tuple(k for _, k in later if (p := piece_of_key(agreed, k)) is not None and line.buy in p.purchases)
    if isinstance(line, SettledLine):
        asked = tuple(q for q in questions_in(agreed) if q.id == line.question)
        return tuple(k for _, k in later if held_by(piece_of_key(agreed, k), asked))
    if not isinstance(line, DoneLine | SkippedLine | SignedLine):
        return ()
    # A check made on entering a state is needed by all that is done in that state: its step is asked for like any.
    step = step_of_key(line.key)
    return tuple(k for n, k in later if _needs(agreed, standing, k, step, (line.n, n)))


def _needs(agreed: Agreed, standing: Standing, key: str, step: Step, between: tuple[int, int]) -> bool:
    """Whether a step that was done needed another; ``between`` are the numbers of their lines."""
    if step.on is None:
        return step.ref in _waits(agreed, key)
    piece = piece_of_key(agreed, key)
    if piece is None or not _asks(piece, step.ref, on=step.on):
        return False
    first, last = between
    turns = (d.n for k, d in standing.done.items() if (s := step_of_key(k)).ref == step.ref and s.on is not None)
    return not any(first < n < last for n in turns)


def _waits(agreed: Agreed, key: str) -> frozenset[str]:
    """Tasks that a step comes after."""
    piece = piece_of_key(agreed, key)
    if piece is None:
        return frozenset()
    return frozenset(a.task for a in piece.after) if isinstance(piece, Task) else frozenset(piece.after)


def _asks(piece: Task | Toggle, feature: str, *, on: bool) -> bool:
    ways = piece.ways if isinstance(piece, Toggle) else ()
    both = [piece.demands] if not ways else [(*piece.demands, *way) for way in ways]
    return all(any(d.feature == feature and d.on is on for d in each) for each in both)


def made_for(agreed: Agreed, standing: Standing, trial: str) -> tuple[str, ...]:
    """Tasks that made the thing a trial tried and are still done, in the order of their numbers.

    They are the making steps of the same part, link or cut, before the trial and after it; of a trial that is the
    owner's own task, the making steps it comes after.

    Parameters
    ----------
    trial : str
        Id of the task that failed.
    """
    tasks = agreed.work.tasks
    known = tasks.get(trial)
    own = _before(agreed, trial) if known is not None and not known.effect else frozenset()
    done = dict.fromkeys(step.ref for step in map(step_of_key, standing.done) if step.on is None)
    made = [
        ref
        for ref in done
        if ref in tasks and ref != trial and _makes(tasks[ref]) and (ref in own or thing_of(ref) == thing_of(trial))
    ]
    return tuple(sorted(made, key=lambda ref: min(_numbers(agreed, ref), default=0)))


def made_since(agreed: Agreed, standing: Standing, redo: Iterable[str]) -> tuple[str, ...]:
    """Work on the same things that was done and comes after work that is done again: it was done on what is no more.

    Parameters
    ----------
    redo : iterable of str
        Ids of the tasks that are done again.

    Returns
    -------
    tuple of str
        Ids of the others, in the order of their numbers.
    """
    again = set(redo)
    done = {step.ref for step in map(step_of_key, standing.done) if step.on is None}
    found = [
        ref
        for ref in (done & agreed.work.tasks.keys()) - again
        if any(thing_of(ref) == thing_of(other) for other in again & _before(agreed, ref))
    ]
    return tuple(sorted(found, key=lambda ref: (min(_numbers(agreed, ref), default=0), ref)))


def _before(agreed: Agreed, task: str) -> frozenset[str]:
    """Tasks that one comes after, through any number of others."""
    found: set[str] = set()
    waiting = [task]
    while waiting:
        known = agreed.work.tasks.get(waiting.pop())
        new = set() if known is None else {a.task for a in known.after} - found
        found |= new
        waiting.extend(sorted(new))
    return frozenset(found)


def _makes(task: Task) -> bool:
    return task.work in MAKING and task.checkpoint is None


def _numbers(agreed: Agreed, ref: str) -> Iterable[int]:
    return (n for k, n in agreed.named.items() if step_of_key(k).ref == ref)
