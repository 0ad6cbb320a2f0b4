"""Is a dated plan sound? Asked by replaying its slots over their stretches of time and by looking at the calendar."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date

from planner.model.catalog import Catalog
from planner.model.job import Job
from planner.model.plan import Plan
from planner.model.work import WorkList
from planner.verify.figures import against_strip, frontier_faults, total_faults
from planner.verify.holds import hold_faults
from planner.verify.in_session import apart_faults, hand_faults, time_faults
from planner.verify.pieces import piece_faults, stretches_of
from planner.verify.replay import replay_stretches
from planner.verify.waits import purchase_faults, wait_faults
from planner.verify.wishes import wish_faults
from planner.verify.words import Numbered, named
from planner.verify.work_time import first_day, kept_of, session_faults


def check_plan(work: WorkList, plan: Plan, job: Job, catalog: Catalog, today: date) -> tuple[str, ...]:
    """Every rule that a dated plan breaks.

    Parameters
    ----------
    work : WorkList
        What has to be done, and what each step demands.
    plan : Plan
        The answer to be checked. Slots are numbered from 1 in the order of time.
    job : Job
        When there is time to work, and what is kept free of it at each session's end.
    catalog : Catalog
        Its ``tidy_min`` is kept free at the start of each session when the job says nothing else.
    today : date
        The day the plan was asked for; goods are ordered on it, or on the job's first day if that is later.

    Returns
    -------
    tuple[str, ...]
        One plain sentence a violation; empty when sound. A plan without slots that tells its trouble passes.
    """
    if not plan.slots and (plan.trouble or plan.strip.trouble):
        return () if plan.finish is None else (f"the plan has no slots and says that it finishes at {plan.finish}",)
    first = first_day(job, today)
    # Slots of no length come before the one that starts as they end; equal times keep the plan's own order.
    slots = list(enumerate(sorted(plan.slots, key=lambda slot: (slot.start, slot.end)), start=1))
    stretches = stretches_of(work, slots)
    return (
        *replay_stretches(work, stretches, noun="slot"),
        *against_strip(plan, stretches),
        *session_faults(plan, job),
        *piece_faults(work, slots),
        *time_faults(work, plan, slots, kept_of(job, catalog)),
        *hand_faults(work, plan, slots),
        *apart_faults(work, slots),
        *_not_too_early(slots, first),
        *wait_faults(work, slots, stretches),
        *hold_faults(work, plan, job, slots),
        *wish_faults(work, plan, job, catalog, slots),
        *purchase_faults(work, plan, slots, first),
        *total_faults(work, plan, stretches),
        *frontier_faults(plan),
    )


def _not_too_early(slots: Numbered, first: date) -> Iterator[str]:
    for number, slot in slots:
        if slot.start.date() < first:
            yield f"{named(number, slot)}: it is on {slot.start.date()}, before the first day {first}"
