"""From random vehicles all the way to a dated plan: every independent check agrees, or the trouble is told in words."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

import pytest
from dressed import TODAY, dressed_case, wished_case
from workshop import shelf

from planner.knockon import find_knockons
from planner.model.effects import Knockons, Proof
from planner.model.job import Job
from planner.model.plan import Plan, Strip
from planner.model.vehicle import Vehicle
from planner.model.work import WorkList
from planner.order import least_strip, pack, scheduled
from planner.verify import check_gates, check_homes, check_plan, check_strip
from planner.work import work_for

CASES = 30
WISHED = 8


@dataclass(frozen=True)
class Line:
    vehicle: Vehicle
    job: Job
    knockons: Knockons
    work: WorkList | None = None
    strip: Strip | None = None
    plan: Plan | None = None


@cache
def line(seed: int) -> Line:
    v, j = dressed_case(seed)
    knockons = find_knockons(v, j, shelf())
    if knockons.proof is Proof.NONE:
        return Line(v, j, knockons)
    work = work_for(v, j, knockons, shelf())
    strip = least_strip(work, limit_s=10.0)
    if not strip.steps:
        return Line(v, j, knockons, work, strip)
    return Line(v, j, knockons, work, strip, pack(work, strip, j, shelf(), today=TODAY))


@pytest.mark.parametrize("seed", range(CASES))
def test_homes_are_sound(seed: int) -> None:
    it = line(seed)
    assert check_homes(it.vehicle, it.job, it.knockons, shelf()) == ()


@pytest.mark.parametrize("seed", range(CASES))
def test_gates_hold(seed: int) -> None:
    it = line(seed)
    if it.work is None:
        assert it.knockons.trouble
        return
    assert check_gates(it.vehicle, it.knockons, it.work, shelf(), job=it.job) == ()


@pytest.mark.parametrize("seed", range(CASES))
def test_strip_is_sound(seed: int) -> None:
    it = line(seed)
    if it.work is None or it.strip is None:
        assert it.knockons.trouble
        return
    if it.strip.proof is Proof.NONE:
        assert it.strip.trouble
        return
    assert check_strip(it.work, it.strip) == ()
    assert it.strip.bound <= it.strip.cost


@pytest.mark.parametrize("seed", range(CASES))
def test_plan_is_sound(seed: int) -> None:
    it = line(seed)
    if it.plan is None or it.work is None:
        assert it.knockons.trouble or (it.strip is not None and it.strip.trouble)
        return
    if it.plan.trouble:
        return
    assert check_plan(it.work, it.plan, it.job, shelf(), TODAY) == ()
    assert it.plan.slots[-1].step.ref in it.work.tasks


def test_most_cases_end_in_a_plan() -> None:
    """Otherwise the tests above would say little."""
    lines = [line(seed) for seed in range(CASES)]
    planned = [it for it in lines if it.plan is not None and not it.plan.trouble]
    assert len(planned) >= CASES // 2
    assert any(it.knockons.homes for it in planned)
    assert not [it for it in lines if it.strip is not None and it.strip.proof is Proof.NONE]


def wishes_kept(seed: int) -> bool:
    """Whether a wished case has a plan; every check of it has to pass."""
    v, j = wished_case(seed)
    knockons = find_knockons(v, j, shelf())
    if knockons.proof is Proof.NONE:
        return False
    work = work_for(v, j, knockons, shelf())
    assert check_gates(v, knockons, work, shelf(), job=j) == (), seed
    plan = scheduled(work, j, shelf(), today=TODAY, limit_s=1.0)
    assert check_plan(work, plan, j, shelf(), TODAY) == (), seed
    assert check_strip(work, plan.strip) == (), seed
    assert plan.slots or plan.trouble or plan.strip.trouble, seed
    return bool(plan.slots)


def test_wishes_are_kept_or_the_trouble_is_told() -> None:
    assert sum(wishes_kept(seed) for seed in range(WISHED)) >= WISHED // 3


@pytest.mark.slow
@pytest.mark.parametrize("block", range(15))
def test_wishes_are_kept_in_many_cases(block: int) -> None:
    assert sum(wishes_kept(seed) for seed in range(1000 + block * 20, 1020 + block * 20)) >= 5
