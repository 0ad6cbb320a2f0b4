"""A hose that somebody else makes to a measured length: ordered when it is measured, then waited for.

What is expected is common practice, no published source: no hose maker takes an order without the length.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import date, datetime, time
from functools import cache

import pytest
from workshop import first_of, link, scuttle, shelf, worked

from planner.log.questions import held_by
from planner.model.effects import Knockons
from planner.model.job import AddLink, Job, Purchase, Repeating
from planner.model.log import DoneLine
from planner.model.standing import Question, Standing
from planner.model.work import Task, WorkList
from planner.order import least_strip, pack
from planner.verify import check_gates, check_plan
from planner.work import left_of

LEAD_DAYS = 9
LEAD_MIN = LEAD_DAYS * 24 * 60
BUY = "buy:new-hose"
MEASURE, ORDER, OFFER = (f"new-hose.{n}" for n in (1, 2, 3))
HOSE = link("brake-hose", "new-hose", "union", "wheel-cylinder", system="front", lead_days=LEAD_DAYS)


@cache
def made() -> tuple[WorkList, Knockons]:
    return worked(scuttle(), AddLink(link=HOSE))


def faults(work: WorkList) -> tuple[str, ...]:
    return check_gates(scuttle(), made()[1], work, shelf())


def with_task(task: str, **changes: object) -> WorkList:
    work = made()[0]
    return replace(work, tasks={**work.tasks, task: replace(work.tasks[task], **changes)})


def test_it_is_ordered_when_it_is_measured_and_offered_up_when_it_is_here() -> None:
    work, _ = made()
    assert [a.task for a in work.tasks[ORDER].after] == [MEASURE]
    assert [(a.task, a.lag_min) for a in work.tasks[OFFER].after] == [(ORDER, LEAD_MIN)]
    assert [BUY in work.tasks[t].purchases for t in (MEASURE, ORDER, OFFER)] == [False, False, True]
    assert "made to measure" in work.buys[BUY].what
    assert faults(work) == ()


def test_a_plan_waits_for_it_from_the_day_of_the_order() -> None:
    work, _ = made()
    saturdays = Repeating(weekday=5, start=time(9), end=time(13), hands=2)
    job = Job(id="job", name="job", changes=(), repeating=(saturdays,))
    plan = pack(work, least_strip(work), job, shelf(), today=date(2026, 12, 1))
    at = {s.step.ref: s for s in plan.slots if s.step.ref in {MEASURE, ORDER, OFFER} or s.step.on}
    assert at[MEASURE].end <= at[ORDER].start
    assert (at[OFFER].start - at[ORDER].end).total_seconds() >= LEAD_MIN * 60
    assert at["new-hose"].start >= at[OFFER].end
    assert check_plan(work, plan, job, shelf(), date(2026, 12, 1)) == ()


def test_other_goods_for_it_are_here_before_it_is_measured_as_ever() -> None:
    """A shaft maker's time that was booked, as the saloon's is: its day is that of the measuring."""
    booked = Purchase(id="time", what="booked", price=1.0, lead_days=24, for_part="new-hose")
    work, _ = worked(scuttle(), AddLink(link=HOSE), purchases=(booked,))
    assert "time" in work.tasks[MEASURE].purchases


def spoiled() -> list[tuple[WorkList, str]]:
    """Each rule broken by hand, with what the checker is to say."""
    work = made()[0]
    offer, fit = work.tasks[OFFER], work.features["new-hose"]
    assert fit.turn_on is not None
    short = tuple(replace(a, lag_min=LEAD_MIN - 1) for a in offer.after)
    early = tuple(t for t in fit.turn_on.after if t != OFFER)
    unparcelled = replace(fit, turn_on=replace(fit.turn_on, purchases=()))
    unwaited = replace(fit, turn_on=replace(fit.turn_on, after=early))
    no_order = {i: replace(t, after=()) if i == OFFER else t for i, t in work.tasks.items() if i != ORDER}
    return [
        (with_task(OFFER, after=short), f"`{OFFER}` may be done before `new-hose`"),
        (with_task(ORDER, after=()), f"`{ORDER}` orders `new-hose` before `{MEASURE}` is done"),
        (with_task(ORDER, away=False), "`new-hose` is made by somebody else and no step orders it"),
        (with_task(MEASURE, purchases=(BUY,)), f"`{MEASURE}` waits for `new-hose`"),
        (with_task(ORDER, purchases=(BUY,)), f"`{ORDER}` waits for `new-hose`, which it orders"),
        (replace(work, features={**work.features, fit.id: unparcelled}), "`new-hose` may be fitted before"),
        (replace(work, features={**work.features, fit.id: unwaited}), "`new-hose` may be fitted before"),
        (replace(work, tasks=no_order), "`new-hose` is made by somebody else and no step orders it"),
    ]


@pytest.mark.parametrize("case", range(8))
def test_the_checker_sees_each_way_of_having_it_too_early(case: int) -> None:
    work, told = spoiled()[case]
    assert [f for f in faults(work) if told in f]


def test_an_open_question_about_its_run_holds_the_order_back_and_not_the_measuring() -> None:
    question = Question(id="new-hose", text="its run is not clear", about=("new-hose",))
    held = [t for t in (MEASURE, ORDER, OFFER) if held_by(made()[0].tasks[t], (question,))]
    assert held == [ORDER]


def done(task: Task) -> DoneLine:
    return DoneLine(key=task.id, at=datetime.combine(date(2026, 12, 20), time(11)), guess_min=9, work="planning")


@pytest.mark.parametrize(("steps", "days"), [((MEASURE,), LEAD_DAYS), ((MEASURE, ORDER), LEAD_DAYS - 3)])
def test_once_ordered_it_comes_so_many_days_after_that(steps: tuple[str, ...], days: int) -> None:
    """Ordered on the 20th and planned again from the 23rd, it is here on the 29th: in 6 days."""
    work, _ = made()
    lines = {t: done(work.tasks[t]) for t in steps}
    left = left_of(work, Standing(done=lines, finished=frozenset(lines)), date(2026, 12, 23))
    assert left.buys[BUY].lead_days == days


def test_what_ends_at_it_is_proved_after_it_is_fitted() -> None:
    """The circuit is bled with the hose in: all of its making comes first."""
    assert {MEASURE, ORDER, OFFER} <= first_of(made()[0], "road-test")
