"""The trade between work and finish: how much more strip-down buys how much earlier a finish, and which point to take.

Points are found from the least strip-down towards the earliest finish: the least effort of a plan finished on day D or
before, and of those the earliest day; then the same for the day before that one, until no plan is left.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from datetime import timedelta

from planner.model.effects import Proof
from planner.model.job import Job
from planner.model.plan import Plan, Point, Strip
from planner.order.calendar import Calendar
from planner.order.joint_solve import Answer, Joint, least_effort_by
from planner.order.schedule_search import Budget, bay_days

FAR = 32
"""Work days looked at by the joint model for a first plan; what needs more is not for it."""


@dataclass(slots=True, kw_only=True)
class Trade:
    """Points of the trade, from the least effort to the earliest finish, and what is proved.

    ``earliest_day``: no plan at any effort finishes before it (days since the calendar's first).
    """

    earliest_day: int
    points: list[Answer] = field(default_factory=list)
    impossible: bool = False
    """Proved: no plan at any effort fits the calendar and the holds."""
    whole: bool = False
    """Every point was found."""

    def add(self, point: Answer) -> None:
        """Add a point unless another is as good in work and in day; those it beats are left out."""
        if any(p.cost <= point.cost and p.day <= point.day for p in self.points):
            return
        kept = [p for p in self.points if p.cost < point.cost or p.day < point.day]
        self.points = sorted([*kept, point], key=lambda p: p.cost)


def trade_of(joint: Joint, base: Answer | None, strip: Strip, earliest_day: int, budget: Budget) -> Trade:
    """Find the points, as far as the time goes.

    Parameters
    ----------
    joint : Joint
    base : Answer, optional
        The best schedule of the least strip-down; None when it has none (a hold asks for more).
    strip : Strip
        The least strip-down.
    earliest_day : int
        Proved so far.
    budget : Budget
    """
    trade = Trade(earliest_day=earliest_day)
    days = bay_days(joint.calendar)
    if base is not None and base.day <= earliest_day:
        trade.points.append(replace(base, proved=strip.proof is Proof.PROVED))
        trade.whole = True
        return trade
    first = _first(joint, base, days, trade, budget)
    if first is None:
        if base is not None:
            trade.points.append(base)
        return trade
    trade.points.append(first)
    while not budget.over:
        last = trade.points[-1]
        earlier = [d for d in days if trade.earliest_day <= d < last.day]
        if not earlier:
            trade.whole = True
            break
        found = least_effort_by(joint, earlier[-1], budget)
        if not found.steps:
            trade.whole = found.proved
            if found.proved:
                trade.earliest_day = max(trade.earliest_day, last.day)
            break
        # Where a point was not proved, an earlier day can turn out to take no more work.
        trade.points = [*(p for p in trade.points if p.cost < found.cost), found]
    return trade


def _first(joint: Joint, base: Answer | None, days: Sequence[int], trade: Trade, budget: Budget) -> Answer | None:
    """The point of least effort: within the day of the base, or within ever more days."""
    if base is not None:
        found = least_effort_by(joint, base.day, budget, base)
        return found if found.steps and (found.cost, found.day) <= (base.cost, base.day) else None
    later = [d for d in days if d >= trade.earliest_day]
    reach = 1
    while later and not budget.over:
        reach = min(reach, len(later))
        found = least_effort_by(joint, later[reach - 1], budget)
        if found.steps:
            return found
        if found.proved:
            trade.impossible = reach == len(later)
            trade.earliest_day = later[min(reach, len(later) - 1)]
        if reach == len(later) or reach >= FAR or not found.proved:
            return None
        reach *= 2
    return None


def price(job: Job, point: Answer) -> float:
    """What a point costs the owner in work and in days, in the currency."""
    return point.cost / 60 * job.hour_worth + point.day * job.day_worth


def chosen(job: Job, calendar: Calendar, points: Sequence[Answer]) -> Answer:
    """The point to take: one that meets the job's date before one that does not, then the cheapest, then least work."""

    def key(point: Answer) -> tuple[bool, float, int, int]:
        late = job.finish_by is not None and calendar.first + timedelta(days=point.day) > job.finish_by
        return late, price(job, point), point.used, point.cost

    return min(points, key=key)


def told(trade: Trade, calendar: Calendar, plan: Plan) -> tuple[Point, ...]:
    """The points as the plan tells them; its own on the day and in the sessions it came to in the end."""
    if plan.finish is None:
        return ()
    points = []
    for point in trade.points:
        finish, used = calendar.first + timedelta(days=point.day), point.used
        if plan.strip.cost == point.cost and plan.finish.date() <= finish:
            finish, used = plan.finish.date(), len({s.session for s in plan.slots})
        elif plan.strip.cost <= point.cost and plan.finish.date() <= finish:
            continue
        points.append(Point(cost=point.cost, finish=finish, sessions=used, proved=point.proved))
    return tuple(points)
