"""States that must hold when a session ends, on cases worked out by hand."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, time

import pytest
from test_pack import EVERY_SATURDAY, SATURDAY, SUNDAY, catalog, job, on
from worklists import feature, need, task, toggle, work_list

from planner.model.job import Job, Repeating
from planner.model.plan import Plan
from planner.model.work import Hold, WorkList
from planner.order import least_strip, scheduled
from planner.order.calendar import calendar_of
from planner.order.pack import Packer, ranks_of
from planner.order.schedule_plan import load_of
from planner.verify import check_plan

EVERY_SUNDAY = Repeating(weekday=6, start=time(9), end=time(13))


def hold(*asked: str, weekdays: tuple[int, ...] = (), days: tuple[date, ...] = ()) -> dict[str, Hold]:
    demands = tuple(need(a) for a in asked)
    return {
        "h": Hold(
            id="h", title="stands for the week", demands=demands, weekdays=frozenset(weekdays), days=frozenset(days)
        )
    }


def made(work: WorkList, what: Job, **more: object) -> Plan:
    plan = scheduled(work, what, catalog(0), today=SATURDAY, **more)  # type: ignore[arg-type]
    assert check_plan(work, plan, what, catalog(0), SATURDAY) == ()
    return plan


def wheels_job(count: int = 3) -> WorkList:
    """Tasks of 100 min each with the wheels off (20 min off, 20 min on)."""
    wheels = feature("wheels", on_min=20, off_min=20)
    return work_list([wheels], [task(f"t{i}", 100, demands=["not wheels"]) for i in range(count)])


def test_no_hold_no_more_work() -> None:
    plan = made(wheels_job(), job(on(SATURDAY, 9, 13), on(SUNDAY, 9, 13), setup_min=0))
    assert plan.strip.cost == 40


def test_put_on_for_the_night_costs_more_work_and_is_found() -> None:
    work = replace(wheels_job(), holds=hold("wheels"))
    plan = made(work, job(on(SATURDAY, 9, 13), on(SUNDAY, 9, 13), setup_min=0))
    # 240 min: off, two tasks, on is exactly Saturday. Off, one task, on on Sunday.
    assert plan.strip.cost == 80
    assert [(s.step.ref, s.step.on) for s in plan.slots if s.session == 0][-1] == ("wheels", True)
    assert [(p.cost, p.proved) for p in plan.frontier] == [(80, True)]


def test_a_hold_of_some_weekdays_is_asked_then_only() -> None:
    sessions = (on(SATURDAY, 9, 13), on(SUNDAY, 9, 13))
    for weekdays, cost in (((5,), 80), ((6,), 40)):
        plan = made(replace(wheels_job(), holds=hold("wheels", weekdays=weekdays)), job(*sessions, setup_min=0))
        assert plan.strip.cost == cost
    by_day = made(replace(wheels_job(), holds=hold("wheels", days=(SATURDAY,))), job(*sessions, setup_min=0))
    assert by_day.strip.cost == 80


def test_before_the_first_step_and_after_the_last_nothing_is_asked() -> None:
    # The wheels are on at the start and at the end, the hold wants them off: only a plan within one session has none
    # of its ends to meet.
    work = replace(wheels_job(1), holds=hold("not wheels"))
    plan = made(work, job(on(SATURDAY, 9, 10), on(SUNDAY, 9, 13), setup_min=0))
    assert {s.session for s in plan.slots} == {1}


def test_a_session_that_cannot_end_so_is_left_out() -> None:
    # An hour of Saturday is too short for off, task, on (140 min); it is left alone rather than left with wheels off.
    work = replace(wheels_job(1), holds=hold("wheels"))
    plan = made(work, job(on(SATURDAY, 9, 11), on(SUNDAY, 9, 13), setup_min=0))
    assert {s.session for s in plan.slots} == {1}


def test_a_hold_on_what_nothing_else_moves() -> None:
    # The cover starts on and nothing needs it off but the hold.
    cover = feature("cover", start=True, goal=None)
    work = replace(work_list([cover], [task(f"t{i}", 200) for i in range(2)]), holds=hold("not cover"))
    plan = made(work, job(on(SATURDAY, 9, 13), on(SUNDAY, 9, 13), setup_min=0))
    assert [(s.step.ref, s.step.on) for s in plan.slots if s.step.on is not None] == [("cover", False)]
    assert plan.strip.cost == 10


def test_a_hold_that_can_never_be_met_is_named() -> None:
    frame = feature("frame", missing="off")
    work = replace(work_list([frame], [task(f"t{i}", 200) for i in range(2)]), holds=hold("not frame"))
    plan = scheduled(work, job(weekly=(EVERY_SATURDAY,), setup_min=0), catalog(0), today=SATURDAY)
    assert plan.slots == ()
    assert plan.trouble[0].startswith("`stands for the week` can never be met")


def test_a_cure_longer_than_a_session_and_a_hold_cannot_both_be() -> None:
    glue = replace(task("glue", 30, demands=["not seat"]), keep_min=24 * 60)
    work = replace(work_list([feature("seat")], [glue]), holds=hold("seat"))
    plan = scheduled(work, job(weekly=(EVERY_SATURDAY,), setup_min=0), catalog(0), today=SATURDAY)
    assert plan.slots == ()
    assert any("stands for the week" in line for line in plan.trouble)


@pytest.mark.parametrize("weekdays", [(), (6,)])
def test_a_large_job_with_a_hold_is_sound(weekdays: tuple[int, ...]) -> None:
    stands = feature("stands", start=False, goal=False, on_min=15, off_min=10)
    parts = [
        feature(
            f"p{i}",
            off=toggle(f"p{i}", False, 15, demands=["stands"] if i % 3 == 0 else [f"not p{i - 1}"]),
            on=toggle(f"p{i}", True, 20, demands=["stands"] if i % 3 == 0 else [f"not p{i - 1}"]),
        )
        for i in range(12)
    ]
    tasks = [
        task(f"t{i}", 20 + 7 * i % 40, demands=[f"not p{i % 12}"], after=[f"t{i - 5}"] if i > 4 else [])
        for i in range(50)
    ]
    work = replace(work_list([stands, *parts], tasks), holds=hold("not stands", weekdays=weekdays))
    plan = made(work, job(weekly=(EVERY_SATURDAY, EVERY_SUNDAY), setup_min=0), limit_s=2)
    assert plan.trouble == ()


def test_a_state_within_another_ends_in_its_session_and_the_other_later() -> None:
    """By hand, two sessions of 120 min: stands 10 and t1 90 in the first; watch 10, t2 60, watch 10, stands 10 in the
    second. What Sunday asks of the stands is met, and each session ends without the watch."""
    stands, watch = (feature(i, start=False, goal=False) for i in ("stands", "watch"))
    tasks = [task("t1", 90, demands=["stands"]), task("t2", 60, demands=["stands", "watch"], after=["t1"])]
    work = work_list([stands, watch], tasks)
    asked = {
        "s": replace(hold("not stands", days=(SUNDAY,))["h"], id="s"),
        "w": replace(hold("not watch")["h"], id="w"),
    }
    load = load_of(
        replace(work, holds=asked),
        least_strip(work, limit_s=4.0),
        calendar_of(job(on(SATURDAY, 9, 11), on(SUNDAY, 9, 11), on(SUNDAY, 12, 14), setup_min=0), catalog(0), SATURDAY),
    )
    assert Packer(net=load.net, rank=ranks_of(load.net, load.leaving)[0]).run()
