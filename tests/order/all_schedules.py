"""Every schedule of a small work list on a coarse clock, written from the rules alone: what is best of them all.

The clock ticks through the work sessions only; at each tick every set of steps that may begin is tried. Of two ways
to the same state at the same tick the one with more effort *and* more sessions is dropped, nothing else.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import datetime

from planner.model.job import Session
from planner.model.work import Demand, Task, Toggle, WorkList

Cost = tuple[int, int]
"""Effort of the toggles [hand-min], sessions worked in."""


@dataclass(frozen=True)
class State:
    on: frozenset[str]
    ended: frozenset[tuple[str, int]] = frozenset()
    """Task and the minute it ended; the minute is 0 when nothing waits for it any longer."""
    locked: frozenset[str] = frozenset()
    running: frozenset[tuple[str, str, int, int, frozenset[tuple[str, bool]]]] = frozenset()
    """(sort, id, end, hands, states held) of what is under way; sort is task, piece, on or off."""
    left: frozenset[tuple[str, int]] = frozenset()
    """Minutes left of tasks that are laid down."""
    kept: frozenset[tuple[str, int]] = frozenset()
    """Feature and the minute until which it must be left alone."""
    pieces: frozenset[str] = frozenset()
    """Tasks worked on in this session already, and to be continued in another."""
    begun: bool = False
    here: bool = False
    """Something was done in this session."""


@dataclass
class Best:
    """Per day number: the least cost pairs of plans finished on that very day."""

    by_day: dict[int, set[Cost]]

    def first_day(self) -> int | None:
        return min(self.by_day, default=None)

    def least_effort(self, day: int) -> int | None:
        return min((e for d, costs in self.by_day.items() if d <= day for e, _ in costs), default=None)

    def frontier(self) -> list[tuple[int, int]]:
        """(effort, day) from the least effort to the earliest day."""
        points: list[tuple[int, int]] = []
        for day in sorted(self.by_day):
            effort = self.least_effort(day)
            assert effort is not None
            if not points or effort < points[-1][0]:
                points.append((effort, day))
        return points[::-1]

    def fewest(self, effort: int, day: int) -> int:
        return min(used for d, costs in self.by_day.items() if d <= day for e, used in costs if e <= effort)


def best_of_all(work: WorkList, sessions: list[Session], midnight: datetime, tick_min: int = 30) -> Best:
    """Try everything in the given sessions (no setting up, no putting away)."""
    found: dict[int, set[Cost]] = {}
    states: dict[State, set[Cost]] = {State(on=frozenset(p for p, f in work.features.items() if f.start)): {(0, 0)}}
    for session in sessions:
        opens = int((datetime.combine(session.day, session.start) - midnight).total_seconds()) // 60
        closes = opens + session.minutes
        for now in range(opens, closes + 1, tick_min):
            states = merged((_ended(work, s, now), c) for s, costs in states.items() for c in costs)
            for state, costs in states.items():
                if _finished(work, state):
                    found.setdefault(opens // 1440, set()).update(costs)
            states = {s: c for s, c in states.items() if not _finished(work, s)}
            if now < closes:
                states = _all_begun(work, states, now, closes, session.hands)
        asked = [d for h in work.holds.values() if h.asks(session.day) for d in h.demands]
        states = merged(
            (replace(s, here=False, pieces=frozenset()), c)
            for s, costs in states.items()
            for c in costs
            if not s.begun or all((d.feature in s.on) == d.on for d in asked)
        )
    return Best(by_day=found)


def merged(pairs: Iterator[tuple[State, Cost]]) -> dict[State, set[Cost]]:
    states: dict[State, set[Cost]] = {}
    for state, cost in pairs:
        costs = states.setdefault(state, set())
        if not any(e <= cost[0] and u <= cost[1] for e, u in costs):
            costs -= {(e, u) for e, u in costs if cost[0] <= e and cost[1] <= u}
            costs.add(cost)
    return states


def _finished(work: WorkList, state: State) -> bool:
    return (
        not state.running
        and len(state.ended) == len(work.tasks)
        and all(f.goal in (None, p in state.on) for p, f in work.features.items())
    )


def _ended(work: WorkList, state: State, now: int) -> State:
    over = [r for r in state.running if r[2] <= now]
    on, ended, kept, left = set(state.on), set(state.ended), set(state.kept), dict(state.left)
    for sort, ref, end, _, _ in over:
        if sort in {"on", "off"}:
            (on.add if sort == "on" else on.discard)(ref)
        elif sort == "task":
            task = work.tasks[ref]
            left.pop(ref, None)
            ended.add((ref, end))
            kept |= {(d.feature, end + task.keep_min) for d in task.demands if task.keep_min}
    lag: dict[str, int] = {}
    for task in work.tasks.values():
        for after in task.after:
            lag[after.task] = max(after.lag_min, lag.get(after.task, 0))
    return replace(
        state,
        on=frozenset(on),
        running=frozenset(state.running - set(over)),
        ended=frozenset((t, end if now < end + lag.get(t, 0) else 0) for t, end in ended),
        kept=frozenset((p, until) for p, until in kept if until > now),
        left=frozenset(left.items()),
    )


def _all_begun(
    work: WorkList, states: dict[State, set[Cost]], now: int, closes: int, hands: int
) -> dict[State, set[Cost]]:
    """All states after beginning any set of steps at one moment."""
    queue = [(s, c) for s, costs in states.items() for c in costs]
    seen: set[tuple[State, Cost]] = set()
    pairs = []
    while queue:
        state, cost = queue.pop()
        if (state, cost) in seen:
            continue
        seen.add((state, cost))
        pairs.append((state, cost))
        for new, effort in _begin_one(work, state, now, closes, hands):
            used = cost[1] + (not state.here)
            queue.append((replace(new, begun=True, here=True), (cost[0] + effort, used)))
    return merged(iter(pairs))


def _begin_one(work: WorkList, state: State, now: int, closes: int, hands: int) -> Iterator[tuple[State, int]]:
    free = hands - sum(r[3] for r in state.running)
    moving = {r[1] for r in state.running if r[0] in {"on", "off"}}
    done = {t for t, _ in state.ended}
    laid_down = dict(state.left)
    held = {p for r in state.running for p, _ in r[4]} | {d.feature for t in laid_down for d in work.tasks[t].demands}
    under_way = {r[1] for r in state.running if r[0] not in {"on", "off"}}

    def holds(demands: tuple[Demand, ...]) -> bool:
        return all(d.feature not in moving and (d.feature in state.on) == d.on for d in demands)

    def is_apart(running: tuple[str, str, int, int, frozenset[tuple[str, bool]]]) -> bool:
        sort, name = running[:2]
        if sort not in {"on", "off"}:
            return work.tasks[name].apart
        known = work.features[name].toggle(on=sort == "on")
        return known is not None and known.apart

    def here(piece: Task | Toggle) -> bool:
        if state.running and (piece.apart or any(map(is_apart, state.running))):
            return False
        days = [work.buys[b].lead_days * 1440 for b in piece.purchases]
        return piece.hands <= free and now >= max([0, *days])

    gates = {
        (t.id, blocked)
        for t in work.tasks.values()
        if t.checkpoint in work.checkpoints
        for blocked in work.checkpoints[t.checkpoint].blocked
    }
    for task in work.tasks.values():
        if task.id in done or task.id in under_way or task.id in state.pieces or not here(task):
            continue
        if not holds(task.demands) or any(blocked == task.id and g not in done for g, blocked in gates):
            continue
        if any(a.task not in done or now < _over(state, a.task, a.lag_min) for a in task.after):
            continue
        left = laid_down.get(task.id, task.minutes)
        states_held = frozenset((d.feature, d.on) for d in task.demands)
        locked = state.locked | {d.feature for d in task.demands if d.last}
        over = closes - task.stay_min
        lengths = [left] if now + left <= over else []
        if task.splits:
            lengths += [n for n in range(30, left, 30) if now + n <= over]
        for length in lengths:
            rest = {**laid_down, task.id: left - length} if length < left else laid_down
            sort = "task" if length == left else "piece"
            yield (
                replace(
                    state,
                    running=state.running | {(sort, task.id, now + length, task.hands, states_held)},
                    locked=locked,
                    left=frozenset(rest.items()),
                    pieces=state.pieces | ({task.id} if sort == "piece" else set()),
                ),
                0,
            )
    for feature in work.features.values():
        toggle = feature.turn_off if feature.id in state.on else feature.turn_on
        if toggle is None or feature.id in state.locked | moving | held or not here(toggle):
            continue
        if any(p == feature.id for p, _ in state.kept) or any(t not in done for t in toggle.after):
            continue
        if now + toggle.minutes > closes or not holds(toggle.demands):
            continue
        for way in toggle.ways or ((),):
            if holds(way):
                demands = (*toggle.demands, *way)
                sort = "on" if toggle.on else "off"
                states_held = frozenset((d.feature, d.on) for d in demands if d.feature != feature.id)
                run = (sort, feature.id, now + toggle.minutes, toggle.hands, states_held)
                locked = state.locked | {d.feature for d in demands if d.last}
                yield replace(state, running=state.running | {run}, locked=locked), toggle.minutes * toggle.hands


def _over(state: State, task: str, lag_min: int) -> int:
    """When the wait after a task is over; 0 when it is."""
    end = next(end for t, end in state.ended if t == task)
    return end + lag_min if end else 0
