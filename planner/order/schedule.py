"""The one way in: a work list and a job's time become a dated plan.

First the least strip-down and the best sessions for it. When no plan at any effort can be finished sooner, that is
the plan. Else the trade between work and finish is looked at, and the price of a day chooses the point.
"""

from __future__ import annotations

from bisect import bisect_left
from dataclasses import replace
from datetime import date, timedelta

from planner.model.catalog import Catalog
from planner.model.effects import Proof
from planner.model.job import Job
from planner.model.plan import Plan
from planner.model.work import WorkList
from planner.order.calendar import calendar_of
from planner.order.frontier import Trade, told, trade_of
from planner.order.halt import Halt
from planner.order.holds_mend import Timed, mended
from planner.order.holds_walk import walked
from planner.order.joint_solve import NONE_FOUND, Answer, Joint
from planner.order.schedule_bound import floor_of, ready_for_holds
from planner.order.schedule_choice import Choice, answer_of, load_like, searched, taken
from planner.order.schedule_late import left_late
from planner.order.schedule_net import arrivals, here_min
from planner.order.schedule_plan import Load, by_step, load_of, no_plan, plan_of
from planner.order.schedule_search import Budget, Found, bay_days
from planner.order.schedule_told import notes_of, stuck_words
from planner.order.schedule_words import Told, too_big
from planner.order.strip_better import cost_of
from planner.order.strip_bounds import forced_counts
from planner.order.strip_solve import least_strip

STRIP_SHARE = 0.4
"""Of the time, for the least strip-down; one that is proved is taken to have needed half of that."""
SESSIONS_SHARE = 0.35
"""Of what is left, for the sessions of the least strip-down."""
WALK_S = 1e-5
"""A walk over n tasks is counted as n x n times this (measured: 0.75 s for 311 tasks)."""
WALK_SHARE = 0.3
"""Of what is left, for the sessions of what a walk found."""
JOINT_SHARE = 0.7
"""Of what is left then, for the trade between work and finish."""


def scheduled(
    work: WorkList,
    job: Job,
    catalog: Catalog,
    *,
    today: date,
    limit_s: float = 20.0,
    last: Plan | None = None,
    halt: Halt | None = None,
) -> Plan:
    """Plan a work list into dated work sessions.

    Parameters
    ----------
    work : WorkList
    job : Job
        Its sessions, days off, first day, date to meet, and what an hour and a day are worth.
    catalog : Catalog
        Its ``tidy_min``: setting up at each session's start, unless the job says its own [min].
    today : date
        The day the plan is made.
    limit_s : float [s]
        Time for all of it, about; counted in the solver's own measure of work.
    last : Plan, optional
        The plan so far: of plans that are as good, the one nearest to it is taken.
    halt : Halt, optional
        Asked to stop, the best found so far is given.

    Returns
    -------
    Plan
        Without slots and with ``trouble`` in words when something cannot be placed; never a step cut short.
    """
    calendar = calendar_of(job, catalog, today)
    strip = least_strip(work, limit_s=max(limit_s * STRIP_SHARE, LEAST_STRIP_S), halt=halt)
    arrives = arrivals(work, calendar.first)
    if strip.trouble:
        return no_plan(strip, arrives, strip.trouble)
    load = load_of(work, strip, calendar)
    words = Told(work=work, calendar=calendar, pieces=load.pieces, arrives=arrives)
    trouble = too_big(words)
    if trouble:
        return no_plan(strip, arrives, trouble)
    spent = STRIP_SHARE if strip.proof is Proof.FOUND else STRIP_SHARE / 2
    return _dated(job, words, load, last, Budget(left_s=limit_s * (1 - spent), halt=halt))


def _dated(job: Job, words: Told, load: Load, last: Plan | None, budget: Budget) -> Plan:
    """Put a least strip-down, or one that serves the owner better, into sessions."""
    calendar = load.net.calendar
    base = searched(load, budget, SESSIONS_SHARE, last)
    joint = _joint(load)
    trade = _trade(joint, load, base.found, budget)
    best = taken(job, joint, trade, base, budget, last)
    if best.found.places is None:
        return no_plan(load.strip, load.arrives, stuck_words(words, best.found, trade))
    plan = plan_of(best.load, by_step(left_late(best.load, best.found.places)))
    return replace(
        plan,
        proof=Proof.PROVED if best.found.proved else Proof.FOUND,
        earliest=calendar.first + timedelta(days=trade.earliest_day),
        frontier=told(trade, calendar, plan),
        notes=notes_of(words, job, plan, trade, best.found, halted=budget.halted),
    )


def _joint(load: Load) -> Joint:
    """What the joint model needs to know of a work list."""
    ready = ready_for_holds(load.work)
    calendar = load.net.calendar
    return Joint(
        ready=ready,
        calendar=calendar,
        bounds=forced_counts(ready),
        floor=floor_of(ready, load.strip, calendar, load.arrives),
        arrives_min=here_min(ready, calendar, load.arrives),
    )


def _trade(joint: Joint, load: Load, best: Found, budget: Budget) -> Trade:
    """Find the trade between work and finish."""
    days = bay_days(joint.calendar)
    base = None
    if best.places is not None:
        days = [d for d in days if d <= best.day]
        base = answer_of(Choice(load=load, found=best))
    at = bisect_left(days, True, key=lambda day: not joint.floor.windows(joint.calendar.up_to(day)).empty)  # noqa: FBT003
    if at == len(days):
        return Trade(earliest_day=days[-1] + 1 if days else 0, impossible=True)
    part = budget.part(JOINT_SHARE)
    trade = trade_of(joint, base, load.strip, days[at], part)
    budget.give_back(part)
    if not trade.whole and not trade.impossible:
        _walk(joint, load, trade, budget)
    return trade


def _walk(joint: Joint, load: Load, trade: Trade, budget: Budget) -> None:
    """Add what a mended schedule and a walk through the calendar give, where the joint model came to no end."""
    walk_s = len(load.strip.steps) ** 2 * WALK_S
    for way in (_mend, _walk_through):
        if trade.points and (budget.over or budget.left_s < walk_s):
            return
        answer = way(joint, load, budget)
        budget.left_s -= walk_s
        if answer is None:
            continue
        choice = searched(load_like(load, answer), budget, WALK_SHARE, None, answer)
        if choice.found.places is not None:
            trade.add(answer_of(choice))


def _mend(joint: Joint, load: Load, budget: Budget) -> Answer | None:
    """Mend the best schedule found without the holds."""
    if not load.net.stretches:
        return None
    free = replace(load, net=replace(load.net, stretches=()))
    places = searched(free, budget, WALK_SHARE, None).found.places
    if places is None:
        return None
    last = {p.step: p for p in places}
    begun = dict.fromkeys(p.step for p in places)
    timed = [Timed(step=load.strip.steps[i], bay=last[i].bay, end=last[i].end) for i in begun]
    known = [t for t in timed if t.step.on is None or t.step.ref in joint.ready.features]
    steps = mended(joint.ready, joint.calendar, joint.arrives_min, known)
    return None if steps is None else replace(NONE_FOUND, steps=steps, cost=cost_of(load.work, steps))


def _walk_through(joint: Joint, load: Load, _: Budget) -> Answer | None:
    found = walked(joint.ready, joint.calendar, joint.arrives_min, load.strip.steps)
    if found is None:
        return None
    return replace(NONE_FOUND, steps=found.steps, places=found.places, cost=cost_of(load.work, found.steps))


LEAST_STRIP_S = 4.0
"""The order is given no less, whatever was asked: without one there is no plan at all."""
