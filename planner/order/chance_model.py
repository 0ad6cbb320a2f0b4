"""A plan made ready for simulation: its steps in their order, with doubtful times, on the calendar of the job.

A step may be gone through more than once: a trial fit that fails is done again with what it asks to be redone, at
once and before anything that comes after the trial. What would have to come off and go back for that is not in it.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from planner.model.plan import Plan
from planner.model.work import Task, Toggle, WorkList
from planner.order.binds_slots import Row, row_of
from planner.order.calendar import Calendar
from planner.order.schedule_net import here_min
from planner.order.strip_bounds import Node

LOW, HIGH = 0.8, 1.6
"""Of the minutes of a step that says no more: so long at the least and at the most. Starting guess."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Times:
    """Three-point times of one going through a step [min]; ``guessed``: its spread is a default."""

    ref: str
    title: str
    low: float
    likely: float
    high: float
    guessed: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Act:
    """One stretch of work. ``times`` is the index of its times; of those it takes the shares from ``begin`` to ``end``.

    ``before`` gives acts, all earlier in the list, with the least wait [min] after their end; ``ready`` the minute of
    the calendar before which it cannot start. ``failed`` is the number of the trial's fail after which it happens, as
    an index into the fails; when it does not happen, it is over with act ``instead``.
    ``apart``: nothing is done beside it; ``stay_min`` are left of its session at its end.
    """

    times: int
    hands: int
    before: tuple[tuple[int, int], ...] = ()
    ready: int = 0
    splits: bool = False
    apart: bool = False
    stay_min: int = 0
    begin: float = 0.0
    end: float = 1.0
    failed: int | None = None
    instead: int = -1


@dataclass(frozen=True, slots=True, kw_only=True)
class Fail:
    """One possible fail of a trial: by ``chance``, and only if fail ``after`` happened as well (None: at once)."""

    chance: float
    after: int | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Course:
    """All that a simulation needs."""

    times: tuple[Times, ...]
    acts: tuple[Act, ...]
    fails: tuple[Fail, ...]
    calendar: Calendar


class _Build:
    """Acts as they are put in a row."""

    def __init__(self, work: WorkList, plan: Plan, calendar: Calendar) -> None:
        self.work = work
        self.row: Row = row_of(work, plan)
        self.calendar = calendar
        self.arrives = here_min(work, calendar, plan.arrives)
        self.times: list[Times] = []
        self.acts: list[Act] = []
        self.fails: list[Fail] = []
        self.times_of: dict[Node, int] = {}
        self.done: dict[int, int] = {}
        self.shares = _shares(self.row)

    def course(self) -> Course:
        for i in self.row.order:
            self._first_go(i)
            piece = self.row.pieces[i]
            if (
                isinstance(piece, Task)
                and piece.again is not None
                and self.row.slots[i].part == self.row.slots[i].parts
            ):
                self._further_goes(i, piece)
        acts = tuple(replace(a, before=b) for a, b in zip(self.acts, slim([a.before for a in self.acts]), strict=True))
        return Course(times=tuple(self.times), acts=acts, fails=tuple(self.fails), calendar=self.calendar)

    def _first_go(self, i: int) -> None:
        node, piece = self.row.nodes[i], self.row.pieces[i]
        if node not in self.times_of:
            self.times_of[node] = self._timed(node.ref, piece)
        begin, end = self.shares[i]
        ready = max([0, *(self.arrives[b] for b in piece.purchases if b in self.arrives)])
        before = tuple((self.done[m], lag) for m, lag in self.row.before[i].items())
        self.done[i] = self._add(
            Act(
                times=self.times_of[node],
                hands=piece.hands,
                before=before,
                ready=ready,
                splits=isinstance(piece, Task) and piece.splits,
                apart=piece.apart,
                stay_min=piece.stay_min,
                begin=begin,
                end=end,
            )
        )

    def _further_goes(self, i: int, trial: Task) -> None:
        """Redone tasks and the trial itself, as often as it may fail; what follows the trial follows the last go."""
        assert trial.again is not None  # noqa: S101  # the caller has looked
        redo = self._redone(trial)
        for go in range(1, trial.again.most):
            over = self.done[i]
            self.fails.append(Fail(chance=trial.again.chance, after=len(self.fails) - 1 if go > 1 else None))
            made: dict[Node, int] = {}
            for name in (*redo, trial.id):
                piece, node = self.work.tasks[name], Node(name)
                waits = {made[m]: lag for m, lag in self.row.thread.before[node].items() if m in made}
                previous = len(self.acts) - 1
                waits.setdefault(previous if made else over, 0)
                made[node] = self._add(
                    Act(
                        times=self._timed(name, piece),
                        hands=piece.hands,
                        before=tuple(waits.items()),
                        splits=piece.splits,
                        apart=piece.apart,
                        stay_min=piece.stay_min,
                        failed=len(self.fails) - 1,
                        instead=over,
                    )
                )
            self.done[i] = len(self.acts) - 1

    def _redone(self, trial: Task) -> list[str]:
        """What a failed trial asks to be done again, in the order it was done in."""
        assert trial.again is not None  # noqa: S101  # the caller has looked
        unknown = sorted(set(trial.again.redo) - {n.ref for n in self.row.nodes if n.number == 0})
        if unknown:
            raise ValueError(f"`{trial.id}` asks to do `{unknown[0]}` again, which is no task of the plan")
        order = [self.row.nodes[i].ref for i in self.row.order if self.row.slots[i].part == 1]
        return [name for name in dict.fromkeys(order) if name in trial.again.redo and name != trial.id]

    def _add(self, act: Act) -> int:
        self.acts.append(act)
        return len(self.acts) - 1

    def _timed(self, ref: str, piece: Task | Toggle) -> int:
        self.times.append(times_of(ref, piece))
        return len(self.times) - 1


def times_of(ref: str, piece: Task | Toggle) -> Times:
    """Three-point times of a step: its own spread, else the default shares of its minutes."""
    likely = float(piece.minutes)
    if piece.spread is None:
        low, high = LOW * likely, HIGH * likely
    else:
        low, high = min(float(piece.spread.low_min), likely), max(float(piece.spread.high_min), likely)
    return Times(
        ref=ref, title=piece.title, low=low, likely=likely, high=high, guessed=piece.spread is None and likely > 0
    )


def course_of(work: WorkList, plan: Plan, calendar: Calendar) -> Course:
    """Make a plan ready for simulation.

    Raises
    ------
    ValueError
        The slots are no valid sequence of steps, or a trial asks to redo a task that is not in the plan.
    """
    return _Build(work, plan, calendar).course()


def _shares(row: Row) -> list[tuple[float, float]]:
    """Of each slot, from which to which share of its step's work it goes."""
    found = [(0.0, 1.0)] * len(row.slots)
    parts: dict[Node, list[int]] = {}
    for i in row.order:
        parts.setdefault(row.nodes[i], []).append(i)
    for slots in parts.values():
        if len(slots) == 1:
            continue
        lengths = [int((row.slots[i].end - row.slots[i].start).total_seconds()) for i in slots]
        total, gone = max(1, sum(lengths)), 0
        for i, length in zip(slots, lengths, strict=True):
            found[i] = (gone / total, (gone + length) / total)
            gone += length
    return found


def slim(before: Sequence[tuple[tuple[int, int], ...]]) -> list[tuple[tuple[int, int], ...]]:
    """Leave out what others make needless: a wait after an act that another one waited for ends no later than that."""
    ancestors: list[set[int]] = []
    kept = []
    for waits in before:
        ancestors.append({p for p, _ in waits}.union(*(ancestors[p] for p, _ in waits)))
        kept.append(tuple((p, lag) for p, lag in waits if not _covered(p, lag, dict(waits), ancestors)))
    return kept


def _covered(act: int, lag: int, waits: Mapping[int, int], ancestors: Sequence[set[int]]) -> bool:
    return any(act in ancestors[other] and lag <= more for other, more in waits.items() if other != act)
