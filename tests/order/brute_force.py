"""Least strip-down by plain shortest path over every state, written from the rules alone."""

from __future__ import annotations

import heapq
from collections.abc import Iterable, Iterator
from itertools import count

from planner.model.work import Demand, WorkList

State = tuple[frozenset[str], frozenset[str], frozenset[str]]
"""Features that are on, tasks done, features that may not change any more."""


def all_hold(demands: Iterable[Demand], on: frozenset[str]) -> bool:
    return all((d.feature in on) == d.on for d in demands)


def locks(demands: Iterable[Demand]) -> frozenset[str]:
    return frozenset(d.feature for d in demands if d.last)


def moves(work: WorkList, state: State) -> Iterator[tuple[int, State]]:
    on, done, locked = state
    gates = {
        (t.id, blocked)
        for t in work.tasks.values()
        if t.checkpoint in work.checkpoints and not work.checkpoints[t.checkpoint].each_time
        for blocked in work.checkpoints[t.checkpoint].blocked
        if blocked != t.id
    }
    for task in work.tasks.values():
        if task.id in done or not all_hold(task.demands, on):
            continue
        if any(a.task not in done for a in task.after):
            continue
        if any(blocked == task.id and point not in done for point, blocked in gates):
            continue
        yield 0, (on, done | {task.id}, locked | locks(task.demands))
    for feature in work.features.values():
        toggle = feature.turn_off if feature.id in on else feature.turn_on
        if toggle is None or toggle.dislike_min is None or feature.id in locked or not all_hold(toggle.demands, on):
            continue
        if any(t not in done for t in toggle.after):
            continue
        for way in toggle.ways or ((),):
            if all_hold(way, on):
                new = on ^ {feature.id}
                yield (
                    toggle.minutes * toggle.hands + toggle.dislike_min,
                    (new, done, locked | locks((*toggle.demands, *way))),
                )


def least_cost(work: WorkList) -> int | None:
    """Least cost of any plan, None when there is none."""
    start: State = (frozenset(p for p, f in work.features.items() if f.start), frozenset(), frozenset())
    best = {start: 0}
    tie = count()
    heap = [(0, next(tie), start)]
    while heap:
        cost, _, state = heapq.heappop(heap)
        if cost > best[state]:
            continue
        on, done, _ = state
        if len(done) == len(work.tasks) and all(
            f.goal is None or f.goal == (p in on) for p, f in work.features.items()
        ):
            return cost
        for price, new in moves(work, state):
            if cost + price < best.get(new, cost + price + 1):
                best[new] = cost + price
                heapq.heappush(heap, (cost + price, next(tie), new))
    return None


def faults(work: WorkList, steps: Iterable[tuple[str, bool | None]]) -> list[str]:
    """Rules a sequence of (ref, new state or None) breaks; empty when it is a plan."""
    states: set[State] = {(frozenset(p for p, f in work.features.items() if f.start), frozenset(), frozenset())}
    for number, (ref, to) in enumerate(steps):
        after: set[State] = set()
        for state in states:
            for _, new in moves(work, state):
                changed = new[0] ^ state[0]
                done_now = to is None and new[1] - state[1] == {ref}
                changed_now = to is not None and changed == {ref} and (ref in new[0]) == to
                if done_now or changed_now:
                    after.add(new)
        if not after:
            return [f"step {number}: {ref} {to} is not allowed"]
        states = after
    left = [
        s
        for s in states
        if len(s[1]) == len(work.tasks)
        and all(f.goal is None or f.goal == (p in s[0]) for p, f in work.features.items())
    ]
    return [] if left else ["something is not done or not in its place at the end"]
