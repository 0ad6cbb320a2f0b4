"""Chances of the dates: many runs at once against one at a time, against textbook formulas and published numbers."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from datetime import date

import numpy as np
import pytest
import trials
from packed_side_by_side import SATURDAY, random_case
from test_pack import catalog

from planner.model.job import Job
from planner.model.plan import Plan, Slot
from planner.model.work import Again, Task, Toggle, WorkList
from planner.order.calendar import calendar_of
from planner.order.chance_draw import GRAIN, Floats, draw_fails, draw_minutes
from planner.order.chance_model import Course, course_of
from planner.order.chance_run import Runs, simulate
from planner.order.strip_bounds import Node
from planner.order.thread import nodes_of, piece_of, thread_of

INF = float("inf")


class Open:
    """A session, and until when each pair of hands in it is taken."""

    def __init__(self, opens: int, closes: int, hands: int) -> None:
        self.opens, self.closes = opens, closes
        self.until = [float(opens)] * hands

    def give(self, start: float, took: float, hands: int) -> float:
        """Take, of the hands free at the start, those that were busy last; nothing for what takes no time."""
        free = sorted((until, n) for n, until in enumerate(self.until) if until <= start)
        assert len(free) >= hands
        if took > 0:
            for _, n in free[-hands:]:
                self.until[n] = start + took
        return start + took


class Plainly:
    """One run of a plan, one step after the other, with lists: the policy of `chance_run` from its words alone."""

    def __init__(self, work: WorkList, plan: Plan, what: Job) -> None:
        self.work, self.plan = work, plan
        setup, tidy = what.setup_min or 0, what.tidy_min
        self.opened = []
        for s in plan.sessions:
            day = (s.day - SATURDAY).days * 1440
            opens = day + s.start.hour * 60 + s.start.minute + setup
            closes = day + s.end.hour * 60 + s.end.minute - tidy
            if closes > opens:
                self.opened.append((opens, closes, s.hands))
        self.slots = sorted(plan.slots, key=lambda s: (s.start, s.end))
        steps = [s.step for s in self.slots if s.part == 1]
        self.before = thread_of(work, steps).before
        nodes = iter(nodes_of(steps))
        self.nodes = [next(nodes) if s.part == 1 else Node(s.step.ref) for s in self.slots]

    def run(self, minutes: list[float], fails: list[bool]) -> float:
        """Finish of a run; ``minutes`` are used up one for each going through a step, in order."""
        draws, coins = iter(minutes), iter(fails)
        self.bays = [Open(*bay) for bay in self.opened]
        ends: dict[Node, float] = {}
        part_end: dict[Node, float] = {}
        length: dict[Node, float] = {}
        lasts = [0.0]
        for slot, node in zip(self.slots, self.nodes, strict=True):
            piece = piece_of(node, self.work)
            if slot.part == 1:
                length[node] = next(draws)
                ready = max([0.0, *(ends[m] + lag for m, lag in self.before[node].items())])
                days = [(self.plan.arrives[b] - SATURDAY).days for b in piece.purchases if b in self.plan.arrives]
                ready = max([ready, *(d * 1440.0 for d in days)])
            else:
                ready = part_end[node]
            begin, end = self.shares(node, slot)
            took = round(length[node] * end * 1024) / 1024 - round(length[node] * begin * 1024) / 1024
            part_end[node] = ends[node] = self.place(ready, took, piece)
            if isinstance(piece, Task) and piece.again and slot.part == slot.parts:
                ends[node] = self.again(piece, ends[node], draws, coins)
            lasts.append(ends[node])
        return max(lasts)

    def again(self, trial: Task, end: float, draws: Iterator[float], coins: Iterator[bool]) -> float:
        assert trial.again is not None
        order = [n.ref for n, s in zip(self.nodes, self.slots, strict=True) if s.part == 1 and n.number == 0]
        failed = True
        for _ in range(trial.again.most - 1):
            failed = next(coins) and failed
            made: dict[str, float] = {}
            last = end
            for ref in [*(r for r in order if r in trial.again.redo), trial.id]:
                took, t = next(draws), self.work.tasks[ref]
                if not failed:
                    continue
                lags = self.before[Node(ref)]
                ready = max([last, *(e + lags[Node(m)] for m, e in made.items() if Node(m) in lags)])
                last = made[ref] = self.place(ready, took, t)
            end = last
        return end

    def shares(self, node: Node, slot: Slot) -> tuple[float, float]:
        mine = [s for s, n in zip(self.slots, self.nodes, strict=True) if n == node]
        if len(mine) == 1:
            return 0.0, 1.0
        seconds = [(s.end - s.start).total_seconds() for s in mine]
        at = mine.index(slot)
        return sum(seconds[:at]) / max(1, sum(seconds)), sum(seconds[: at + 1]) / max(1, sum(seconds))

    def place(self, ready: float, took: float, piece: Task | Toggle) -> float:
        """End of a step: in the first session with room, or over all that is left of them; beside nothing if apart."""
        splits = isinstance(piece, Task) and piece.splits
        able = [(b, len(b.until) if piece.apart else piece.hands) for b in self.bays if len(b.until) >= piece.hands]
        for bay, hands in able:
            start = max(ready, sorted(bay.until)[hands - 1])
            if not splits and start + took + piece.stay_min <= bay.closes:
                return bay.give(start, took, hands)
        last, hands = able[-1]
        if not splits and max(ready, sorted(last.until)[hands - 1]) > last.opens:
            return INF
        for bay, hands in able:
            start = max(ready, sorted(bay.until)[hands - 1])
            here = min(took, bay.closes - piece.stay_min - start)
            if here > 0 or here == took == 0:
                end = bay.give(start, here, hands)
                took -= here
                if took == 0:
                    return end
        return INF


def with_trials(work: WorkList, seed: int) -> WorkList:
    """Some of the tasks may fail, and ask for a task before them to be done again."""
    tasks = dict(work.tasks)
    for n, t in enumerate(work.tasks.values()):
        if (seed + n) % 3 == 0 and t.after:
            again = Again(chance=0.4, redo=(t.after[0].task,), most=1 + (seed + n) % 4)
            tasks[t.id] = replace(t, again=again)
    return replace(work, tasks=tasks)


def same_as_plainly(seed: int, runs: int = 40) -> bool:
    case = random_case(seed)
    if case is None:
        return False
    work, what, plan = case
    work = with_trials(work, seed)
    dice = np.random.default_rng(seed)
    course = course_of(work, plan, calendar_of(what, catalog(), SATURDAY))
    minutes = draw_minutes(course.times, runs, dice)
    # In every other run the times are rounded, so that ends fall together and sessions are filled to the minute.
    minutes[:, ::2] = 15 * np.rint(minutes[:, ::2] / 15)
    happens = draw_fails(course.fails, runs, dice)
    finish = simulate(course, minutes, happens).finish
    plain = Plainly(work, plan, what)
    assert [plain.run(list(minutes[:, r]), list(happens[:, r])) for r in range(runs)] == finish.tolist()
    # What a run comes to does not hang on the others.
    for r in range(0, runs, 4):
        assert simulate(course, minutes[:, [r]], happens[:, [r]]).finish[0] == finish[r]
    return True


def starts_and_ends(course: Course, found: Runs, minutes: Floats, run: int) -> list[tuple[float, float]]:
    """Of acts that are not split, in one run."""
    ends = [float(found.end_min(a)[run]) for a in range(len(course.acts))]
    return [(end - float(minutes[act.times, run]), end) for act, end in zip(course.acts, ends, strict=True)]


def every_run_holds(seed: int, runs: int = 25) -> int:
    """Look at each run by itself: thread, waits, parcels, sessions and hands. Returns how many were looked at."""
    case = random_case(seed)
    if case is None:
        return 0
    work, what, plan = case
    if any(s.parts > 1 for s in plan.slots):
        return 0
    work = replace(work, tasks={t.id: replace(t, splits=False) for t in work.tasks.values()})
    calendar = calendar_of(what, catalog(), SATURDAY)
    course = course_of(work, plan, calendar)
    minutes = draw_minutes(course.times, runs, np.random.default_rng(seed))
    found = simulate(course, minutes, np.zeros((0, runs), dtype=np.bool_))
    slots = sorted(plan.slots, key=lambda s: (s.start, s.end))
    nodes = nodes_of([s.step for s in slots])
    thread = thread_of(work, [s.step for s in slots])
    seen = 0
    for run in np.flatnonzero(np.isfinite(found.finish)) if not found.cut else ():
        spans = dict(zip(nodes, starts_and_ends(course, found, minutes, int(run)), strict=True))
        for node, (start, end) in spans.items():
            assert all(start >= spans[m][1] + lag for m, lag in thread.before[node].items())
            piece = piece_of(node, work)
            assert all(start >= (plan.arrives[b] - SATURDAY).days * 1440 for b in piece.purchases)
            inside = [b for b in calendar.bays if b.opens <= start and end + piece.stay_min <= b.closes]
            busy = sum(piece_of(n, work).hands for n, (s, e) in spans.items() if n != node and s <= start < e)
            assert any(b.hands >= piece.hands + (busy if end > start else 0) for b in inside)
        seen += 1
    return seen


def no_slot_ends_later(work: WorkList, what: Job, plan: Plan, today: date) -> bool:
    """With all times the plan's own and no trial that fails, each slot ends by its end in the plan."""
    course = course_of(work, plan, calendar_of(what, catalog(), today))
    minutes = np.array([[t.likely] for t in course.times])
    found = simulate(course, minutes, np.zeros((len(course.fails), 1), dtype=np.bool_))
    first = [a for a, act in enumerate(course.acts) if act.failed is None]
    slots = sorted(plan.slots, key=lambda s: (s.start, s.end))
    ends = [course.calendar.minute(s.end) for s in slots]
    # The shares of a split step are rounded to whole grains.
    return all(found.end_min(a)[0] <= end + 1 / GRAIN for a, end in zip(first, ends, strict=True))


def sure_is_no_later(seed: int) -> bool:
    case = random_case(seed)
    if case is None:
        return False
    work, what, plan = case
    assert no_slot_ends_later(with_trials(work, seed), what, plan, SATURDAY)
    return True


def test_every_run_is_a_plan_that_holds() -> None:
    assert sum(every_run_holds(seed) for seed in range(40, 90)) > 200


def test_sure_times_end_no_later_than_in_the_plan() -> None:
    assert sum(sure_is_no_later(seed) for seed in range(200, 240)) > 20


@pytest.mark.slow
def test_sure_times_end_no_later_than_in_the_plan_often() -> None:
    assert sum(sure_is_no_later(seed) for seed in range(3000, 4000)) > 500


@pytest.mark.slow
@pytest.mark.parametrize("name", ["hung-pedals", "battery-aft"])
def test_sure_times_end_no_later_than_in_the_plan_of_the_shipped_job(name: str) -> None:
    found = trials.answer(name)
    assert found.plan.slots
    assert no_slot_ends_later(found.work, found.job, found.plan, found.today)


def test_many_at_once_is_one_at_a_time() -> None:
    assert sum(same_as_plainly(seed) for seed in range(40)) > 20


@pytest.mark.slow
def test_many_at_once_is_one_at_a_time_often() -> None:
    assert sum(same_as_plainly(seed) for seed in range(1000, 2500)) > 700
