"""Parts of a plan solved by themselves: what may stand in a part, and what putting it back does."""

from __future__ import annotations

import random

import pytest
from brute_force import faults, least_cost
from worklists import feature, random_work, task, toggle, with_wishes, work_list

from planner.model.plan import Step
from planner.model.work import WorkList
from planner.order.halt import Halt
from planner.order.strip_better import Better, cost_of, lesser
from planner.order.strip_bounds import forced_counts
from planner.order.strip_problem import prepared
from planner.order.strip_repair import Walk, is_plan
from planner.order.strip_solver import Clock
from planner.order.strip_window import bits_of, web_of, window_work


def walked(seed: int) -> tuple[WorkList, tuple[Step, ...]] | None:
    work = prepared(with_wishes(random_work(seed, most_features=6, most_tasks=8), seed))
    # Walked with the tasks turned round, and never put in a better order: there is something to better.
    walk = Walk(work)
    if not all(walk.do(t) for t in reversed(work.tasks)) or not walk.finish():
        return None
    steps = tuple(walk.steps)
    return (work, steps) if is_plan(work, steps) else None


def some_plans(count: int) -> list[tuple[int, WorkList, tuple[Step, ...]]]:
    made = ((seed, walked(seed)) for seed in range(10 * count))
    return [(seed, *plan) for seed, plan in made if plan is not None and len(plan[1]) > 4][:count]


def test_any_closed_part_can_be_told_in_one_piece() -> None:
    dice = random.Random(1)
    for seed, work, steps in some_plans(60):
        web = web_of(work, steps)
        for _ in range(5):
            chosen = web.closed(sum(1 << i for i in dice.sample(range(len(steps)), 2)))
            early, middle, late = web.told(chosen)
            assert len(middle) == chosen.bit_count()
            assert is_plan(work, (*early, *middle, *late)), seed


def test_a_part_costs_as_much_alone_as_in_the_plan_and_its_least_fits_back() -> None:
    dice = random.Random(2)
    bettered = 0
    for seed, work, steps in some_plans(60):
        web = web_of(work, steps)
        chosen = web.closed(sum(1 << i for i in dice.sample(range(len(steps)), len(steps) // 2)))
        early, middle, late = web.told(chosen)
        sub = window_work(work, early, middle, late)
        assert sub is not None
        alone = least_cost(sub)
        assert faults(sub, [(s.ref, s.on) for s in middle]) == [], seed
        assert alone is not None
        assert alone <= cost_of(sub, tuple(middle)), seed
        found = lesser(prepared(sub), tuple(middle), cost_of(sub, tuple(middle)), Clock(left_s=2.0, halt=Halt()))
        if found is not None:
            bettered += 1
            whole = (*early, *found, *late)
            assert cost_of(sub, found) < cost_of(sub, tuple(middle)), seed
            assert cost_of(work, whole) == cost_of(work, steps) - cost_of(sub, tuple(middle)) + cost_of(sub, found)
    assert bettered > 2


def test_bettering_never_breaks_a_plan_nor_goes_below_the_least() -> None:
    bettered = 0
    for seed, work, steps in some_plans(40):
        better = Better(
            work=work, forced=forced_counts(work).forced, steps=steps, cost=cost_of(work, steps), size=len(steps) / 2
        )
        before = better.cost
        better.run(Clock(left_s=1.0, halt=Halt()), 0)
        least = least_cost(work)
        assert least is not None
        assert least <= better.cost <= before, seed
        assert better.cost == cost_of(work, better.steps), seed
        assert is_plan(work, better.steps), seed
        bettered += better.cost < before
    assert bettered > 2


def test_two_trips_that_can_be_one() -> None:
    work = work_list([feature("seat"), feature("tank")], [task(t, demands=["not seat"]) for t in ("a", "b")])
    trip = [Step(ref="seat", on=False), Step(ref="a"), Step(ref="seat", on=True)]
    steps = (*trip, Step(ref="seat", on=False), Step(ref="b"), Step(ref="seat", on=True))
    better = Better(work=work, forced={"seat": 2, "tank": 0}, steps=steps, cost=40, size=5.0)
    better.run(Clock(left_s=2.0, halt=Halt()), 20)
    assert better.cost == 20


def test_a_part_keeps_what_came_before_and_what_comes_after() -> None:
    lamp = feature("lamp", off=toggle("lamp", False, after=["end"]))
    work = work_list([lamp, feature("seat")], [task("aim", demands=["seat!"]), task("end", demands=["seat"])])
    aim, end = Step(ref="aim"), Step(ref="end")
    sub = window_work(work, [aim], [end], [])
    assert sub is not None
    # The seat is locked by what came before; the lamp may go once the part's own task is done.
    assert sub.features["seat"].turn_off is None
    assert sub.features["lamp"].turn_off is not None
    first = window_work(work, [], [aim], [end])
    assert first is not None
    assert first.features["lamp"].turn_off is None
    assert window_work(work, [], [Step(ref="seat", on=True)], []) is None


def test_bits() -> None:
    assert list(bits_of(0b101001)) == [0, 3, 5]


@pytest.mark.parametrize("seed", [3, 44])
def test_chance_is_seeded(seed: int) -> None:
    plans = [p for p in some_plans(30) if p[0] >= seed]
    _, work, steps = plans[0]
    found = []
    for _ in range(2):
        better = Better(work=work, forced=forced_counts(work).forced, steps=steps, cost=cost_of(work, steps), size=4.0)
        better.run(Clock(left_s=1.0, halt=Halt()), 0)
        found.append(better.steps)
    assert found[0] == found[1]
