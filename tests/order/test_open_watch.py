"""A plan that begins with a watch on and the vehicle on stands: each ends with the session that asks for it."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime, time, timedelta

from test_pack import SATURDAY, SUNDAY, catalog, job, on
from worklists import feature, need, task, work_list

from planner.model.plan import Slot, Step
from planner.model.work import Hold, WorkList
from planner.order import shifted
from planner.verify import check_plan, check_strip

CATALOG = catalog(tidy_min=0)


def begun() -> WorkList:
    """An hour of hot work under a watch that ends with its session; 200 min on stands that go by Sunday night."""
    states = [feature(n, start=True, goal=False, on_min=10, off_min=10) for n in ("watch", "stands")]
    tasks = [task("weld", 60, demands=["watch"]), task("under", 200, demands=["stands"], after=["weld"])]
    holds = {
        "left:watch": Hold(id="left:watch", title="the watch ends", demands=(need("not watch"),)),
        "pushed": Hold(id="pushed", title="pushed aside", demands=(need("not stands"),), weekdays=frozenset({6})),
    }
    return replace(work_list(states, tasks), holds=holds)


def test_what_is_on_from_the_start_is_ended_each_in_its_own_time() -> None:
    """By hand: weld 60 and watch 10 on Saturday (120 min); under 200 and stands 10 on Sunday (240 min).

    All of it, 280 min, fits into neither session, so whoever ends both states in one has no plan.
    """
    work, what = begun(), job(on(SATURDAY, 9, 11), on(SUNDAY, 9, 13), setup_min=0)
    order = (Step(ref="weld"), Step(ref="watch", on=False), Step(ref="under"), Step(ref="stands", on=False))
    first = datetime.combine(SATURDAY, time(9))
    slots = tuple(
        Slot(step=s, session=0, start=first + timedelta(minutes=i), end=first + timedelta(minutes=i + 1))
        for i, s in enumerate(order)
    )
    plan = shifted(work, slots, what, CATALOG, today=SATURDAY)
    assert plan is not None
    assert (*check_strip(work, plan.strip), *check_plan(work, plan, what, CATALOG, SATURDAY)) == ()
    assert [(s.step, s.start.date()) for s in plan.slots] == list(
        zip(order, (SATURDAY, SATURDAY, SUNDAY, SUNDAY), strict=True)
    )
