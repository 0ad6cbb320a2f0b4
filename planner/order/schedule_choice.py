"""The point of the trade that is taken, and the steps and sessions that make it a plan."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

from planner.model.effects import Proof
from planner.model.job import Job
from planner.model.plan import Plan, Strip
from planner.order.frontier import Trade, chosen
from planner.order.joint_solve import NONE_FOUND, Answer, Joint, fewest_sessions
from planner.order.schedule_net import fits
from planner.order.schedule_plan import Load, load_of
from planner.order.schedule_search import Budget, Found
from planner.order.schedule_settle import search
from planner.order.strip_better import cost_of
from planner.order.strip_bounds import Node
from planner.order.strip_repair import is_plan
from planner.order.strip_solve import dislike_of
from planner.order.thread import nodes_of

SHARE = 0.4
"""Of what is left, for the sessions of one way to make the point a plan."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Choice:
    """A strip-down with the best sessions found for it."""

    load: Load
    found: Found


def searched(load: Load, budget: Budget, share: float, last: Plan | None, seed: Answer | None = None) -> Choice:
    """Search the sessions of a load in a share of the time; ``seed`` is an answer known before."""
    found = Found(net=load.net, style=load.style, leaving=load.leaving, days=days_of(load, last))
    if seed is not None and seed.places and fits(load.net, seed.places):
        found.keep(seed.places)
    part = budget.part(share)
    search(found, part)
    budget.give_back(part)
    return Choice(load=load, found=found)


def taken(job: Job, joint: Joint, trade: Trade, base: Choice, budget: Budget, last: Plan | None) -> Choice:
    """Take the point of the best price, in the fewest sessions, nearest to the last plan.

    A point that cannot be made a plan is passed over.
    """
    points = list(trade.points)
    while points:
        point = chosen(job, joint.calendar, points)
        points.remove(point)
        best: Choice | None = None
        for choice in _tries(joint, point, base, budget, last):
            found = choice.found
            if found.places is None or found.day > point.day:
                continue
            if best is None or found.key(found.places) < best.found.key(best.found.places or ()):
                best = choice
        if best is not None:
            return best
    return base


def _tries(joint: Joint, point: Answer, base: Choice, budget: Budget, last: Plan | None) -> Iterator[Choice]:
    """Ways to make a point a plan: the last plan's steps, the base itself, the fewest sessions, the point's own."""
    kept = _last_answer(joint, base.load, last)
    if kept is not None and kept.cost <= point.cost:
        yield searched(load_like(base.load, kept), budget, SHARE, last)
    is_base = (base.load.strip.cost, base.found.day) == (point.cost, point.day) and base.found.places is not None
    if is_base:
        yield base
        if base.found.day > base.found.bound_day and not budget.over:
            yield searched(base.load, budget, SHARE, last, answer_of(base))
    known = answer_of(base) if is_base else point
    fewer = NONE_FOUND if budget.over else fewest_sessions(joint, point.day, point.cost, budget, known)
    if fewer.steps and fewer.used < known.used:
        yield searched(load_like(base.load, fewer), budget, SHARE, last, fewer)
    if not is_base:
        yield searched(load_like(base.load, point), budget, SHARE, last, point)


def answer_of(choice: Choice) -> Answer:
    """A strip-down with its sessions as a point of the trade."""
    return Answer(
        steps=choice.load.strip.steps,
        places=tuple(choice.found.places or ()),
        cost=choice.load.strip.cost,
        day=choice.found.day,
        used=choice.found.used,
        proved=False,
    )


def _last_answer(joint: Joint, load: Load, last: Plan | None) -> Answer | None:
    """The last plan's steps, when they still are a plan."""
    steps = tuple(s.step for s in last.slots if s.part == 1) if last is not None else ()
    known = [s for s in steps if s.ref in (joint.ready.tasks if s.on is None else joint.ready.features)]
    if not steps or len(known) < len(steps) or not is_plan(joint.ready, steps):
        return None
    return replace(NONE_FOUND, steps=steps, cost=cost_of(load.work, steps))


def _strip_of(load: Load, answer: Answer) -> Strip:
    cost = cost_of(load.work, answer.steps)
    return Strip(
        proof=load.strip.proof if cost <= load.strip.cost else Proof.FOUND,
        steps=answer.steps,
        cost=cost,
        bound=min(load.strip.bound, cost),
        dislike=dislike_of(load.work, answer.steps),
    )


def load_like(load: Load, answer: Answer) -> Load:
    """The load of an answer for the same work list; its steps stay numbered as in the answer."""
    return load_of(load.work, _strip_of(load, answer), load.net.calendar)


def days_of(load: Load, last: Plan | None) -> dict[int, int]:
    """Day on which each step began in the last plan (days since the calendar's first)."""
    if last is None:
        return {}
    slots = [s for s in last.slots if s.part == 1]
    first = load.net.calendar.first
    days = {n: (s.start.date() - first).days for n, s in zip(nodes_of([s.step for s in slots]), slots, strict=True)}
    number: dict[Node, int] = {n: i for i, n in enumerate(load.thread.nodes)}
    return {number[n]: day for n, day in days.items() if n in number and day >= 0}
