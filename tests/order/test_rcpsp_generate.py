"""Schedule generation, mirroring and bounds against plain references that step through every unit of time."""

from __future__ import annotations

import random

from rcpsp_reference import faults, finish_of, least_finish, on_offer, random_project

from planner.order.project import Activity, Project
from planner.order.rcpsp_bounds import Offer, bounds_of
from planner.order.rcpsp_breed import admissible
from planner.order.rcpsp_ready import Ready, mirrored, ready
from planner.order.sgs import generate


def stepwise(project: Project, order: list[int]) -> dict[int, int] | None:
    """Each activity in turn at the first unit of time where it may start; None when there is none."""
    starts: dict[int, int] = {}
    levels = [[on_offer(project, r, t) for t in range(project.horizon)] for r in range(len(project.capacity))]
    for k in order:
        a = project.activities[k]
        first = max((starts[i] + project.activities[i].duration + lag for i, lag in a.before.items()), default=0)
        for s in range(first, project.horizon - a.duration + 1):
            inside = a.windows is None or any(b <= s <= e for b, e in a.windows)
            span = range(s, s + a.duration)
            if inside and all(levels[r][t] >= u for r, u in enumerate(a.uses) for t in span):
                break
        else:
            return None
        starts[k] = s
        for r, u in enumerate(a.uses):
            for t in span:
                levels[r][t] -= u
    return starts


def random_order(r: Ready, dice: random.Random) -> list[int]:
    return admissible(r, dice.sample(range(len(r)), len(r)))


def test_generated_schedules_equal_those_made_unit_by_unit() -> None:
    late = made = 0
    for seed in range(600):
        dice = random.Random(seed)
        project = random_project(dice, 15, 60, 6)
        r = ready(project)
        order = random_order(r, dice)
        starts = generate(r, order)
        expected = stepwise(project, [r.origin[k] for k in order])
        if expected is None:
            late += 1
            assert max(s + d for s, d in zip(starts, r.durations, strict=True)) > project.horizon
        else:
            made += 1
            assert {r.origin[k]: s for k, s in enumerate(starts)} == expected
    assert min(late, made) > 50


def test_an_admissible_order_keeps_what_it_can() -> None:
    for seed in range(100):
        dice = random.Random(seed)
        r = ready(random_project(dice, 20, 60, 6))
        wish = dice.sample(range(len(r)), len(r))
        order = admissible(r, wish)
        place = {k: n for n, k in enumerate(order)}
        assert sorted(order) == list(range(len(r)))
        assert all(place[i] < place[k] for k, arcs in enumerate(r.before) for i, _ in arcs)
        assert admissible(r, order) == order


def test_a_schedule_made_backwards_in_time_is_a_schedule() -> None:
    made = 0
    for seed in range(300):
        dice = random.Random(seed)
        project = random_project(dice, 12, 60, 5)
        turned = mirrored(ready(project))
        backwards = generate(turned, random_order(turned, dice))
        if max((s + d for s, d in zip(backwards, turned.durations, strict=True)), default=0) > project.horizon:
            continue
        made += 1
        ends = {turned.origin[k]: project.horizon - s for k, s in enumerate(backwards)}
        starts = tuple(ends[a] - project.activities[a].duration for a in range(len(ends)))
        assert faults(project, starts) == []
    assert made > 50


def test_bounds_hold_in_every_least_schedule() -> None:
    tight = 0
    for seed in range(150):
        project = random_project(random.Random(seed), 7, 12, 4)
        r = ready(project)
        if any(u > c for a in project.activities for u, c in zip(a.uses, project.capacity, strict=True)):
            continue
        bound, least = bounds_of(project, r).finish, least_finish(project)
        if least is not None:
            assert bound <= least, seed
            tight += bound == least
    assert tight > 30


def test_heads_and_tails_hold_in_random_schedules() -> None:
    for seed in range(300):
        dice = random.Random(seed)
        project = random_project(dice, 15, 60, 6)
        r = ready(project)
        starts = generate(r, random_order(r, dice))
        finish = finish_of(project, tuple(s for _, s in sorted(zip(r.origin, starts, strict=True))))
        if finish <= project.horizon:
            bounds = bounds_of(project, r)
            assert all(h <= s for h, s in zip(bounds.heads, starts, strict=True)), seed
            ends = [s + d for s, d in zip(starts, r.durations, strict=True)]
            assert all(e + t <= finish for e, t in zip(ends, bounds.tails, strict=True)), seed
            assert bounds.finish <= finish, seed


def test_sessions_that_whole_tasks_cannot_fill_offer_only_what_they_can() -> None:
    # Sessions of 240 min every 1,000 min and tasks of 100 min: 200 min can be used in each.
    windows = tuple((1000 * k, 1000 * k + 140) for k in range(10))
    task = Activity(duration=100, uses=(1,), windows=windows)
    project = Project(activities=(task,) * 5, capacity=(1,), horizon=20_000)
    plain = Offer.of(project, 0)
    whole = plain.by_whole(project, 0)
    assert [plain.up_to(t) for t in (120, 240, 999, 1100)] == [120, 240, 240, 340]
    assert [whole.up_to(t) for t in (120, 240, 999, 1100)] == [120, 200, 200, 300]
    assert whole.reaches(500, -1) == 2100
    assert whole.reaches(2001, -1) == -1
    assert bounds_of(project, ready(project)).finish == 2100
