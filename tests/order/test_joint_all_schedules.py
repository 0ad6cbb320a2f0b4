"""Plans against every schedule there is, on small random jobs.

Independent method: :mod:`all_schedules` tries everything on a clock of half hours, written from the rules alone. All
minutes of the cases are half hours, and a schedule pushed to the front of its sessions begins every step on a half
hour, so nothing is lost by that clock.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime

import pytest
from all_schedules import Best, best_of_all
from session_cases import FIRST, random_case
from test_pack import catalog, job

from planner.model.effects import Proof
from planner.model.plan import Plan
from planner.order import scheduled
from planner.verify import check_plan

MIDNIGHT = datetime(2026, 12, 5)  # noqa: DTZ001 - wall clock


def days(plan: Plan) -> int:
    assert plan.finish is not None
    return (plan.finish.date() - FIRST).days


def compare(seed: int) -> str:
    """Plan one case and compare all it says with the best of all schedules."""
    work, sessions, dice = random_case(seed)
    best = best_of_all(work, sessions, MIDNIGHT)
    day_worth = dice.choice([0.0, 1.0, 5.0, 1000.0])
    what = job(*sessions, setup_min=0, day_worth=day_worth, hour_worth=15.0)
    plan = scheduled(work, what, catalog(0), today=FIRST, limit_s=20)
    if best.first_day() is None:
        assert plan.slots == (), seed
        assert plan.trouble, seed
        return "none"
    assert plan.trouble == (), seed
    assert check_plan(work, plan, what, catalog(0), FIRST) == (), seed
    see_the_trade(plan, best, seed)
    prices = {(effort, day): effort / 60 * 15 + day * day_worth for effort, day in best.frontier()}
    assert prices[plan.strip.cost, days(plan)] == min(prices.values()), seed
    assert len({s.session for s in plan.slots}) == best.fewest(plan.strip.cost, days(plan)), seed
    assert plan.proof is Proof.PROVED, seed
    return "trade" if len(plan.frontier) > 1 else "plan"


def see_the_trade(plan: Plan, best: Best, seed: int) -> None:
    assert [(p.cost, (p.finish - FIRST).days) for p in plan.frontier] == best.frontier(), seed
    assert all(p.proved for p in plan.frontier), seed
    assert plan.earliest is not None
    assert (plan.earliest - FIRST).days == best.first_day(), seed


def test_small_jobs_equal_the_best_of_all_schedules() -> None:
    kinds = [compare(seed) for seed in range(60)]
    assert kinds.count("none") < 40
    assert "trade" in kinds


@pytest.mark.slow
def test_many_small_jobs_equal_the_best_of_all_schedules() -> None:
    kinds = [compare(seed) for seed in range(60, 1500)]
    assert kinds.count("none") < 900
    assert kinds.count("trade") >= 2


def test_more_work_is_not_done_for_nothing() -> None:
    # A day is worth nothing: the least strip-down is taken whatever the day.
    for seed in range(30):
        work, sessions, _ = random_case(seed)
        what = job(*sessions, setup_min=0, day_worth=0.0)
        plan = scheduled(replace(work, holds={}), what, catalog(0), today=FIRST)
        if plan.slots:
            assert plan.strip.cost == plan.frontier[0].cost
