"""Whether any plan exists at all, when the relaxation cannot tell.

The relaxation of strip_model lets a feature do as it likes after its cap, so with a wild in its answer it
proves nothing: a work list can be impossible though every cap leaves a wild. Two tests that do not depend on
caps settle that.

``pairs_rule_out`` : over atoms (feature in a state, feature still free to change, task done or not) find every
pair that can hold at once, by the least fixed point: an action whose demands hold pairwise makes its effects
hold with each other and with whatever can hold beside all its demands. The truth is a subset of the fixed
point, so a pair outside it never holds.

``search`` : all states that can be reached, the cheapest first. Tasks that lock nothing are done as soon as
they can be: doing a task takes nothing away.
"""

from __future__ import annotations

import heapq
from collections.abc import Iterable, Iterator
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from planner.model.plan import Step
from planner.model.work import Demand, Toggle, WorkList
from planner.order.strip_problem import toggle_price

Atoms = npt.NDArray[np.int64]
Pairs = npt.NDArray[np.bool_]


@dataclass(frozen=True, slots=True, kw_only=True)
class Action:
    """A step on bit masks (feature on, task done, feature locked): needs ``wants`` of the bits in ``cares``."""

    step: Step
    cares: int
    wants: int
    sets: int
    clears: int
    price: int = 0
    """[min x hands]"""

    def open_in(self, state: int) -> bool:
        """Whether the step is allowed."""
        return state & self.cares == self.wants

    def result(self, state: int) -> int:
        """State after the step."""
        return state & ~self.clears | self.sets


@dataclass(frozen=True, slots=True, kw_only=True)
class Space:
    """All actions of a work list, one for each way of each toggle."""

    tasks: tuple[Action, ...]
    toggles: tuple[Action, ...]
    start: int
    goal_cares: int
    goal_wants: int
    bits: int

    def is_goal(self, state: int) -> bool:
        """Whether everything is done and in its place."""
        return state & self.goal_cares == self.goal_wants


@dataclass(frozen=True, slots=True, kw_only=True)
class _Bits:
    """The bit of each feature's state, of each task done, of each feature locked."""

    state: dict[str, int]
    done: dict[str, int]
    lock: dict[str, int]

    def needs(self, demands: Iterable[Demand], tasks: Iterable[str]) -> tuple[int, int, int] | None:
        """Give (cares, wants, locks set by it), or None when the demands contradict each other."""
        cares = wants = locks = 0
        for demand in demands:
            bit = self.state[demand.feature]
            if cares & bit and bool(wants & bit) != demand.on:
                return None
            cares, wants = cares | bit, wants | (bit if demand.on else 0)
            locks |= self.lock[demand.feature] if demand.last else 0
        done = sum(self.done[t] for t in set(tasks))
        return cares | done, wants | done, locks


def space_of(work: WorkList) -> Space:
    """Build the state space of a prepared work list."""
    many, tasks = len(work.features), len(work.tasks)
    bits = _Bits(
        state={p: 1 << i for i, p in enumerate(work.features)},
        done={t: 1 << (many + i) for i, t in enumerate(work.tasks)},
        lock={p: 1 << (many + tasks + i) for i, p in enumerate(work.features)},
    )
    goals = {p: f.goal for p, f in work.features.items() if f.goal is not None}
    done = sum(bits.done.values())
    return Space(
        tasks=tuple(_task_actions(work, bits)),
        toggles=tuple(a for f in work.features.values() for t in f.toggles for a in _toggle_actions(t, bits)),
        start=sum(bits.state[p] for p, f in work.features.items() if f.start),
        goal_cares=sum(bits.state[p] for p in goals) | done,
        goal_wants=sum(bits.state[p] for p, goal in goals.items() if goal) | done,
        bits=2 * many + tasks,
    )


def _task_actions(work: WorkList, bits: _Bits) -> Iterator[Action]:
    for id_, task in work.tasks.items():
        need, bit = bits.needs(task.demands, (a.task for a in task.after)), bits.done[id_]
        if need:
            cares, wants, locks = need
            yield Action(step=Step(ref=id_), cares=cares | bit, wants=wants & ~bit, sets=bit | locks, clears=0)


def _toggle_actions(toggle: Toggle, bits: _Bits) -> Iterator[Action]:
    """One action for each way."""
    p = toggle.feature
    before = Demand(feature=p, on=not toggle.on)
    bit, lock = bits.state[p], bits.lock[p]
    for way in toggle.ways or ((),):
        need = bits.needs((before, *toggle.demands, *way), toggle.after)
        if need:
            cares, wants, locks = need
            yield Action(
                step=Step(ref=p, on=toggle.on),
                cares=cares | lock,
                wants=wants,
                sets=(bit if toggle.on else 0) | locks,
                clears=0 if toggle.on else bit,
                price=toggle_price(toggle),
            )


def search(space: Space, most_states: int) -> tuple[Step, ...] | bool | None:
    """Find the least sequence of steps that does it all.

    False when there is none; None when more than ``most_states`` were met. Cheapest state first, so the first
    goal met is the least.
    """
    easy = [a for a in space.tasks if a.sets.bit_count() == 1]
    others = [*(a for a in space.tasks if a.sets.bit_count() > 1), *space.toggles]
    first, steps = _settled(space.start, easy)
    came: dict[int, tuple[int, int, tuple[Step, ...]]] = {first: (0, -1, steps)}
    heap = [(0, 0, first)]
    while heap:
        cost, _, state = heapq.heappop(heap)
        if cost > came[state][0]:
            continue
        if space.is_goal(state):
            return _path(came, state)
        for action in others:
            if action.open_in(state):
                new, more = _settled(action.result(state), easy)
                if new not in came or cost + action.price < came[new][0]:
                    came[new] = (cost + action.price, state, (action.step, *more))
                    heapq.heappush(heap, (cost + action.price, len(came), new))
        if len(came) > most_states:
            return None
    return False


def _settled(state: int, easy: list[Action]) -> tuple[int, tuple[Step, ...]]:
    """Do every task that can be done and locks nothing."""
    steps: list[Step] = []
    again = True
    while again:
        again = False
        for action in easy:
            if action.open_in(state):
                state = action.result(state)
                steps.append(action.step)
                again = True
    return state, tuple(steps)


def _path(came: dict[int, tuple[int, int, tuple[Step, ...]]], state: int) -> tuple[Step, ...]:
    parts: list[tuple[Step, ...]] = []
    while state != -1:
        _, state, steps = came[state]
        parts.append(steps)
    return tuple(step for part in reversed(parts) for step in part)


def pairs_rule_out(space: Space) -> bool:
    """Whether the pairs of atoms that can hold at once already prove that there is no plan."""
    size = 2 * space.bits
    together = np.zeros((size, size), dtype=np.bool_)
    start = _atoms((1 << space.bits) - 1, space.start)
    together[np.ix_(start, start)] = True
    actions = [
        (_atoms(a.cares, a.wants), _atoms(a.sets | a.clears, a.sets), _atoms(a.sets | a.clears, a.clears))
        for a in (*space.tasks, *space.toggles)
    ]
    goal = _atoms(space.goal_cares, space.goal_wants)
    known = -1
    while int(together.sum()) > known:
        known = int(together.sum())
        for action in actions:
            _apply(together, *action)
    return not bool(together[np.ix_(goal, goal)].all())


def _apply(together: Pairs, wants: Atoms, adds: Atoms, removes: Atoms) -> None:
    """Add the pairs one action makes possible; nothing when its demands cannot hold together."""
    if not together[np.ix_(wants, wants)].all():
        return
    beside = together.diagonal() & together[wants].all(axis=0)
    beside[removes] = False
    others: Atoms = np.flatnonzero(beside)
    together[np.ix_(adds, others)] = True
    together[np.ix_(others, adds)] = True
    together[np.ix_(adds, adds)] = True


def _atoms(cares: int, wants: int) -> Atoms:
    """Atom numbers: 2 i for bit i clear, 2 i + 1 for bit i set."""
    found = [2 * i + (wants >> i & 1) for i in range(cares.bit_length()) if cares >> i & 1]
    return np.array(found, dtype=np.int64)
