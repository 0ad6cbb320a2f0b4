"""The trade between work and finish, on a case worked out by hand."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

from test_pack import EVERY_SATURDAY, SATURDAY, catalog, job
from worklists import feature, task, work_list

from planner.model.effects import Proof
from planner.model.job import Job
from planner.model.plan import Plan
from planner.model.work import Buy, WorkList
from planner.order import scheduled
from planner.units.spoken import day_words
from planner.verify import check_plan


def loom_job() -> WorkList:
    """The dash comes off for a cut, a loom that is 35 days in the post goes behind it, six long tasks want it on.

    Saturdays of 240 min. A Saturday holds one long task (200 min) and 40 min besides.

    Least work, 20 min: off, cut on day 0; loom and on when the loom is here, on day 35 (60 + 10 min, which leaves no
    room for a long task); the six long tasks on days 42 to 77.

    20 min more: off, cut, on again on day 0; long tasks on Saturdays from day 7; one Saturday from day 35 on for
    off, loom, on (80 min). Seven Saturdays from day 7: done on day 49. Day 0 holds no long task besides (60 + 20 +
    200 min), and no Saturday holds a long task and the loom, so no plan is done before day 49.
    """
    cut = task("cut", 60, demands=["not dash"])
    long_tasks = [task(f"trim-{i}", 200, demands=["dash"], after=["cut"]) for i in range(6)]
    loom = task("loom", 60, demands=["not dash"], after=["cut"], purchases=["loom"])
    part = Buy(id="loom", what="wiring loom", price=90, lead_days=35, for_part="")
    return work_list([feature("dash")], [cut, *long_tasks, loom], buys=[part])


def saturdays(**more: object) -> Job:
    return job(weekly=(EVERY_SATURDAY,), setup_min=0, **more)


def made(what: Job) -> Plan:
    plan = scheduled(loom_job(), what, catalog(0), today=SATURDAY)
    assert check_plan(loom_job(), plan, what, catalog(0), SATURDAY) == ()
    return plan


def day(number: int) -> date:
    return SATURDAY + timedelta(days=number)


def test_twenty_minutes_more_work_finish_four_weeks_sooner() -> None:
    plan = made(saturdays())
    assert [(p.cost, p.finish, p.proved) for p in plan.frontier] == [(20, day(77), True), (40, day(49), True)]
    assert plan.earliest == day(49)
    # 20 min at 15 an hour are 5; 28 days at 5 a day are 140.
    assert plan.strip.cost == 40
    assert plan.finish is not None
    assert plan.finish.date() == day(49)
    assert plan.strip.proof is Proof.FOUND
    assert plan.strip.bound == 20


def test_the_price_of_a_day_chooses() -> None:
    # 5 more in work, 28 days at 0.17 are 4.76, at 0.19 they are 5.32.
    assert made(saturdays(day_worth=0.17)).strip.cost == 20
    assert made(saturdays(day_worth=0.19)).strip.cost == 40


def test_a_date_to_meet_comes_before_the_price() -> None:
    cheap = saturdays(day_worth=0.0)
    assert made(cheap).finish.date() == day(77)  # type: ignore[union-attr]
    in_time = made(replace(cheap, finish_by=day(60)))
    assert in_time.finish.date() == day(49)  # type: ignore[union-attr]
    assert in_time.notes == ()
    missed = made(replace(cheap, finish_by=day(40)))
    told = (
        f"the date to meet, {day_words(day(40))}, is not met: no plan finishes before {day_words(day(49))}, "
        "whatever the effort"
    )
    assert missed.notes == (told,)


def test_nothing_to_trade_is_one_point() -> None:
    work = replace(loom_job(), buys={"loom": Buy(id="loom", what="loom", price=90, lead_days=0, for_part="")})
    plan = scheduled(work, saturdays(), catalog(0), today=SATURDAY)
    # Off, cut, loom, on take 140 min of the first Saturday; six long tasks follow.
    assert [(p.cost, p.finish, p.sessions, p.proved) for p in plan.frontier] == [(20, day(42), 7, True)]
    assert plan.proof is Proof.PROVED
