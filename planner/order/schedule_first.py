"""The first answer: the steps of a strip-down put into sessions by list scheduling alone."""

from __future__ import annotations

from datetime import date

from planner.model.catalog import Catalog
from planner.model.job import Job
from planner.model.plan import Plan, Strip
from planner.model.work import WorkList
from planner.order.calendar import calendar_of
from planner.order.pack import Packer, merit, ranks_of
from planner.order.schedule_net import arrivals
from planner.order.schedule_plan import by_step, load_of, no_plan, plan_of
from planner.order.schedule_words import Told, left_over, too_big


def pack(work: WorkList, strip: Strip, job: Job, catalog: Catalog, *, today: date) -> Plan:
    """Put the steps of a strip-down into work sessions.

    Parameters
    ----------
    work : WorkList
        The work list the strip was made for.
    strip : Strip
    job : Job
        Its sessions, days off and first day.
    catalog : Catalog
        Its ``tidy_min``: setting up at each session's start, unless the job says its own [min].
    today : date
        The day the plan is made.

    Returns
    -------
    Plan
        Without slots and with ``trouble`` in words when something cannot be placed; never a step cut short.
    """
    calendar = calendar_of(job, catalog, today)
    arrives = arrivals(work, calendar.first)
    if strip.trouble:
        return no_plan(strip, arrives, strip.trouble)
    load = load_of(work, strip, calendar)
    told = Told(work=work, calendar=calendar, pieces=load.pieces, arrives=arrives)
    trouble = too_big(told)
    if trouble:
        return no_plan(strip, arrives, trouble)
    packers = [Packer(net=load.net, rank=rank, style=load.style) for rank in ranks_of(load.net, load.leaving)]
    whole = [packer.places for packer in packers if packer.run()]
    if not whole:
        return no_plan(strip, arrives, left_over(told, load.net, packers[0]))
    return plan_of(load, by_step(min(whole, key=lambda places: merit(load.net, places))))
