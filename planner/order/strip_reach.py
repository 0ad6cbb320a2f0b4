"""Whether any plan exists at all, when the relaxation cannot tell.

The relaxation of strip_model lets a feature do as it likes after its cap, so with a wild in its answer it proves nothing: a work
list can be impossible though every cap leaves a wild. Two tests that do not depend on caps settle that.

``pairs_rule_out`` : over atoms (feature in a state, feature still free to change, task done or not) find every pair that can hold
at once, by the least fixed point: an action whose demands hold pairwise makes its effects hold with each other and with
whatever can hold beside all its demands. The truth is a subset of the fixed point, so a pair outside it never holds.

``search`` : all states that can be reached, the cheapest first. Tasks that lock nothing are done as soon as they can be: doing a
task takes nothing away.
"""

from __future__ import annotations

import heapq
from collections.abc import Iterable, Iterator
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from planner.model.plan import Step
from planner.model.work import Demand, WorkList
from planner.order.strip_problem import toggle_price, toggles_of

PAIR_ROUNDS = 200


@dataclass(frozen=True, slots=True, kw_only=True)
class Action:
    """A step on bit masks. Bits: feature on, task done, feature locked. Needs ``wants`` of the bits in ``cares``."""

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


def space_of(work: WorkList) -> Space:
    """Build the state space of a prepared work list."""
    feature_bit = {p: 1 << i for i, p in enumerate(work.features)}
    task_bit = {t: 1 << (len(feature_bit) + i) for i, t in enumerate(work.tasks)}
    lock_bit = {p: 1 << (len(feature_bit) + len(task_bit) + i) for i, p in enumerate(work.features)}

    def needs(demands: Iterable[Demand], tasks: Iterable[str]) -> tuple[int, int, int] | None:
        cares = wants = locks = 0
        for demand in demands:
            bit = feature_bit[demand.feature]
            if cares & bit and bool(wants & bit) != demand.on:
                return None
            cares, wants = cares | bit, wants | (bit if demand.on else 0)
            locks |= lock_bit[demand.feature] if demand.last else 0
        done = sum(task_bit[t] for t in set(tasks))
        return cares | done, wants | done, locks

    def task_actions() -> Iterator[Action]:
        for id_, task in work.tasks.items():
            need, bit = needs(task.demands, (a.task for a in task.after)), task_bit[id_]
            if need:
                cares, wants, locks = need
                yield Action(step=Step(ref=id_), cares=cares | bit, wants=wants & ~bit, sets=bit | locks, clears=0)

    def toggle_actions() -> Iterator[Action]:
        for p, feature in work.features.items():
            for toggle in toggles_of(feature):
                before = Demand(feature=p, on=not toggle.on)
                bit, lock = feature_bit[p], lock_bit[p]
                for way in toggle.ways or ((),):
                    need = needs((before, *toggle.demands, *way), toggle.after)
                    if need:
                        cares, wants, locks = need
                        sets, clears = (bit | locks, 0) if toggle.on else (locks, bit)
                        step = Step(ref=p, on=toggle.on)
                        yield Action(
                            step=step, cares=cares | lock, wants=wants, sets=sets, clears=clears, price=toggle_price(toggle)
                        )

    goals = {p: f.goal for p, f in work.features.items() if f.goal is not None}
    done = sum(task_bit.values())
    return Space(
        tasks=tuple(task_actions()),
        toggles=tuple(toggle_actions()),
        start=sum(feature_bit[p] for p, f in work.features.items() if f.start),
        goal_cares=sum(feature_bit[p] for p in goals) | done,
        goal_wants=sum(feature_bit[p] for p, goal in goals.items() if goal) | done,
        bits=2 * len(feature_bit) + len(task_bit),
    )


def search(space: Space, most_states: int) -> tuple[Step, ...] | bool | None:
    """Find the least sequence of steps that does it all; False when there is none; None when more than ``most_states`` were met.

    Cheapest state first, so the first goal met is the least.
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
    together: npt.NDArray[np.bool_] = np.zeros((size, size), dtype=np.bool_)
    start = _atoms((1 << space.bits) - 1, space.start)
    together[np.ix_(start, start)] = True
    actions = [
        (
            _atoms(a.cares, a.wants),
            _atoms(a.sets | a.clears, a.sets),
            _atoms(a.sets | a.clears, a.clears),
        )
        for a in (*space.tasks, *space.toggles)
    ]
    for _ in range(PAIR_ROUNDS):
        before = int(together.sum())
        for wants, adds, removes in actions:
            if together[np.ix_(wants, wants)].all():
                beside = together[wants].all(axis=0) if len(wants) else together.diagonal().copy()
                beside[removes] = False
                together[np.ix_(adds, beside.nonzero()[0])] = True
                together[np.ix_(beside.nonzero()[0], adds)] = True
                together[np.ix_(adds, adds)] = True
        if int(together.sum()) == before:
            goal = _atoms(space.goal_cares, space.goal_wants)
            return not bool(together[np.ix_(goal, goal)].all())
    return False


def _atoms(cares: int, wants: int) -> list[int]:
    """Atom numbers: 2 i for bit i clear, 2 i + 1 for bit i set."""
    return [2 * i + (wants >> i & 1) for i in range(cares.bit_length()) if cares >> i & 1]
