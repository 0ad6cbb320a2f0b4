"""A plan made by walking through the calendar: what is needed is fetched when a task is done.

What a hold asks for is put right before the session ends that asks for it.
So it may hold toggles that the least strip-down lacks: put on for the night and off again, or taken off a second
time rather than left waiting for a parcel. Steps are done one after the other. Nothing here is optimal: it gives an
answer where the joint model is too large, and the search then schedules its steps anew.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace

from planner.model.plan import Step
from planner.model.work import Demand, Task, Toggle, WorkList
from planner.order.calendar import Bay, Calendar
from planner.order.schedule_net import LEAST_PIECE_MIN, Place, asked_of
from planner.order.strip_repair import Walk

TRIED = 12
"""Tasks tried for the next place before the session is closed."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Walked:
    """Steps in order, and the place of each (numbered as the steps stand)."""

    steps: tuple[Step, ...]
    places: tuple[Place, ...]


@dataclass(slots=True, kw_only=True)
class Clock:
    """Where the walk stands in time, and what it knows of the waits."""

    bay: int
    now: int
    ends: dict[str, int] = field(default_factory=dict)
    """End of each task done."""
    still: dict[str, int] = field(default_factory=dict)
    """Minute until which a feature must be left alone."""
    places: list[Place] = field(default_factory=list)
    count: int = 0
    """Steps placed."""

    def copy(self) -> Clock:
        """A clock that can be run on without this one."""
        return replace(self, ends=dict(self.ends), still=dict(self.still), places=list(self.places))

    def set_to(self, other: Clock) -> None:
        """Stand where another clock stands; that one is not run on."""
        self.bay, self.now, self.count = other.bay, other.now, other.count
        self.ends, self.still, self.places = other.ends, other.still, other.places


@dataclass(frozen=True, slots=True, kw_only=True)
class Ground:
    """What a walk walks on. ``ready`` is the first minute of each purchase."""

    work: WorkList
    """Prepared, with the features that only a hold wants changed."""
    calendar: Calendar
    ready: Mapping[str, int]
    eras: Mapping[tuple[str, bool], tuple[int, ...]]
    settled: Mapping[str, tuple[Demand, ...]]
    """Of each task that forbids later changes: what is in its last state by then in the order walked after."""

    def asks(self, bay: int) -> tuple[Demand, ...]:
        """States that must hold when the session of a bay ends."""
        after = bay + 1
        states = [s for s, eras in self.eras.items() if after >= len(eras) or eras[after] > eras[bay]]
        return tuple(Demand(feature=p, on=on) for p, on in states if p in self.work.features)

    def era_end(self, bay: int) -> int:
        """Last bay from this one on before which no session asks for anything."""
        while bay + 1 < len(self.calendar.bays) and all(e[bay + 1] == e[bay] for e in self.eras.values()):
            bay += 1
        return bay


def ground_of(work: WorkList, calendar: Calendar, ready: Mapping[str, int], steps: Sequence[Step]) -> Ground:
    """Make the ground of a prepared work list; ``steps`` is the order walked after."""
    return Ground(
        work=work, calendar=calendar, ready=ready, eras=asked_of(work, calendar), settled=_settled(work, steps)
    )


def walked(work: WorkList, calendar: Calendar, ready: Mapping[str, int], steps: Sequence[Step]) -> Walked | None:
    """Walk a prepared work list through the calendar, its tasks about in the order of given steps.

    None when it comes to no end.
    """
    ground = ground_of(work, calendar, ready, steps)
    walk, clock = Walk(work), Clock(bay=0, now=0)
    left = [s.ref for s in steps if s.on is None]
    while left and clock.bay < len(calendar.bays):
        task = _next(ground, walk, clock, left)
        if task is not None:
            left = [t for t in left if t not in walk.done]
            continue
        if not any(_begun(ground, walk, clock, t) for t in left[:TRIED]):
            _close(ground, walk, clock)
        left = [t for t in left if t not in walk.done]
    while clock.bay < len(calendar.bays):
        if _tried(ground, walk, clock, None):
            return Walked(steps=tuple(walk.steps), places=tuple(clock.places))
        if not _begun(ground, walk, clock, None):
            _close(ground, walk, clock)
    return None


def _settled(work: WorkList, steps: Sequence[Step]) -> dict[str, tuple[Demand, ...]]:
    """See :class:`Ground`."""
    last = {s.ref: i for i, s in enumerate(steps) if s.on is not None}
    found = {}
    for i, step in enumerate(steps):
        if step.on is None and any(d.last for d in work.tasks[step.ref].demands):
            states = [(steps[k].ref, steps[k].on) for k in last.values() if k < i]
            found[step.ref] = tuple(Demand(feature=p, on=bool(on)) for p, on in states if p in work.features)
    return found


def _next(ground: Ground, walk: Walk, clock: Clock, left: Sequence[str]) -> str | None:
    """Do the first task that can be begun without waiting, else the one that can be begun soonest in this era."""
    best: tuple[int, str] | None = None
    tried = 0
    for task in left:
        piece = ground.work.tasks[task]
        # What forbids later changes comes in its turn only, or it could forbid what others still need.
        if any(a.task not in walk.done for a in piece.after) or (tried and any(d.last for d in piece.demands)):
            continue
        tried += 1
        trial, time = copied(walk), clock.copy()
        if _tried(ground, trial, time, task):
            begin = time.ends[task] - piece.minutes
            if best is None or begin < best[0]:
                best = begin, task
            if begin <= clock.now + _toggled(trial, walk):
                break
        if tried == TRIED:
            break
    if best is None:
        return None
    _tried(ground, walk, clock, best[1])
    return best[1]


def _reached(ground: Ground, walk: Walk, task: str | None) -> bool:
    """Do a task with all it needs; None: bring everything to its goal."""
    if task is None:
        return walk.finish()
    return walk.fetch(ground.settled.get(task, ()), ()) and walk.do(task)


def _begun(ground: Ground, walk: Walk, clock: Clock, task: str | None) -> bool:
    """Make as many as can be of the steps towards what does not fit in whole: what stays made is a gain."""
    trial = copied(walk)
    if not _reached(ground, trial, task):
        return False
    steps, last = trial.steps[len(walk.steps) :], ground.era_end(clock.bay)
    for many in range(len(steps) - 1, 0, -1):
        trial, time = copied(walk), clock.copy()
        if not all(trial.play(step) for step in steps[:many]):
            continue
        trial.steps += steps[:many]
        if not _timed(ground, steps[:many], time, last) or not _restorable(ground, trial, time):
            continue
        after = copied(trial)
        after.fetch(ground.asks(last), ())
        if after.on == walk.on and after.done == walk.done:
            return False
        walk.on, walk.done, walk.locked, walk.steps = trial.on, trial.done, trial.locked, trial.steps
        clock.set_to(time)
        return True
    return False


def _toggled(trial: Walk, walk: Walk) -> int:
    """Minutes of the steps before the last that a trial has made more than the walk."""
    more = trial.steps[len(walk.steps) : -1]
    return sum(walk.work.piece(step).minutes for step in more)


def copied(walk: Walk) -> Walk:
    """A walk that can be gone on without this one."""
    copy = Walk(walk.work)
    copy.on, copy.done, copy.locked = dict(walk.on), set(walk.done), set(walk.locked)
    copy.steps = list(walk.steps)
    return copy


def _tried(ground: Ground, walk: Walk, clock: Clock, task: str | None) -> bool:
    """Do a task with all it needs (None: bring everything to its goal) if the holds can still be met after it.

    False leaves things as they were.
    """
    mark, before = walk.mark(), clock.copy()
    last = ground.era_end(clock.bay)
    fits = _reached(ground, walk, task) and _timed(ground, walk.steps[mark[3] :], clock, last)
    if fits and (task is None or _restorable(ground, walk, clock)):
        return True
    walk.back_to(mark)
    clock.set_to(before)
    return False


def _restorable(ground: Ground, walk: Walk, clock: Clock) -> bool:
    """Whether what the era's end asks for can still be put right by then."""
    last = ground.era_end(clock.bay)
    asked = ground.asks(last)
    if all(walk.on[d.feature] == d.on for d in asked):
        return True
    trial, time = copied(walk), clock.copy()
    made = len(trial.steps)
    return trial.fetch(asked, ()) and _timed(ground, trial.steps[made:], time, last)


def _close(ground: Ground, walk: Walk, clock: Clock) -> None:
    """Put right what the era's end asks for, and go on to the next era; before the first step nothing is asked."""
    last = ground.era_end(clock.bay)
    if walk.steps:
        made = len(walk.steps)
        walk.fetch(ground.asks(last), ())
        _timed(ground, walk.steps[made:], clock, last)
    clock.bay = last + 1
    if clock.bay < len(ground.calendar.bays):
        clock.now = ground.calendar.bays[clock.bay].opens


def _timed(ground: Ground, steps: Sequence[Step], clock: Clock, last: int) -> bool:
    """Put steps one after the other into the bays up to ``last``; False when they do not fit."""
    bays = ground.calendar.bays
    for step in steps:
        piece = ground.work.piece(step)
        begin = max([clock.now, *(ground.ready.get(b, 0) for b in piece.purchases)])
        if isinstance(piece, Task):
            if any(a.task not in clock.ends for a in piece.after):
                return False
            begin = max([begin, *(clock.ends[a.task] + a.lag_min for a in piece.after)])
        else:
            begin = max(begin, clock.still.get(step.ref, 0))
        if not _put(bays, piece, clock, begin, last):
            return False
        if isinstance(piece, Task):
            clock.ends[piece.id] = clock.now
            for demand in piece.demands if piece.keep_min else ():
                until = clock.now + piece.keep_min
                clock.still[demand.feature] = max(until, clock.still.get(demand.feature, 0))
    return True


def _put(bays: Sequence[Bay], piece: Task | Toggle, clock: Clock, begin: int, last: int) -> bool:
    """Put one step into the first bay it fits in, or in pieces into several."""
    left, splits = piece.minutes, isinstance(piece, Task) and piece.splits
    for number in range(clock.bay, last + 1):
        bay = bays[number]
        at = max(begin, bay.opens)
        closes = bay.closes - piece.stay_min
        minutes = left if at + left <= closes else closes - at
        if bay.hands < piece.hands or (minutes < left and (not splits or minutes < LEAST_PIECE_MIN)):
            continue
        clock.bay, clock.now = number, at + minutes
        clock.places.append(Place(step=clock.count, bay=number, start=at, end=clock.now))
        left -= minutes
        if not left:
            clock.count += 1
            return True
    return False
