"""Small changes to a job's circumstances, for asking "what if": a helper, a late parcel, no wishes."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

from planner.model.job import Job
from planner.model.work import WorkList
from planner.order.sessions import sessions_on
from planner.units.spoken import day_words


def with_helper(job: Job, day: date) -> Job:
    """One more pair of hands in every session of a day.

    Raises
    ------
    ValueError
        There is no session on that day.
    """
    there = sessions_on(job, day)
    if not there:
        raise ValueError(f"there is no session on {day_words(day)}")
    helped = tuple(replace(s, hands=s.hands + 1) for s in there)
    return replace(job, sessions=tuple(s for s in job.sessions if s.day != day) + helped)


def with_late(work: WorkList, name: str, days: int) -> WorkList:
    """The same work with what is bought as ``name``, or for the part ``name``, so many days later [days].

    Raises
    ------
    ValueError
        Nothing is bought under that name or for that part.
    """
    late = {i for i, buy in work.buys.items() if name in {i, buy.for_part}}
    if not late:
        raise ValueError(f"nothing is bought as or for `{name}`")
    buys = {i: replace(b, lead_days=b.lead_days + days) if i in late else b for i, b in work.buys.items()}
    return replace(work, buys=buys)


def without_wishes(job: Job) -> Job:
    """The same job with nothing the owner would rather leave in."""
    return replace(job, leave_in={})
