"""One session more: what it takes the place of, and what is left of the others on its day."""

from __future__ import annotations

from dataclasses import replace

from planner.model.job import Job, Session


def with_more_time(job: Job, more: Session) -> Job:
    """The job with one more session; for the time of an earlier one that it overlaps, the later word counts.

    What is left of the earlier one stays, and with as many hands the two become one. A day off is one no more, but what
    was given up with it does not come back: of its time there is what is said now.

    Parameters
    ----------
    job : Job
    more : Session

    Returns
    -------
    Job
        No session of that day overlaps ``more``.
    """
    if more.day in job.days_off:
        job = replace(
            job,
            sessions=tuple(s for s in job.sessions if s.day != more.day),
            days_off=tuple(d for d in job.days_off if d != more.day),
            only_dated=(*job.only_dated, more.day),
        )
    dated = [s for s in job.sessions if s.day == more.day]
    weekly = [
        Session(day=more.day, start=r.start, end=r.end, hands=r.hands)
        for r in job.repeating
        if r.weekday == more.day.weekday() and more.day not in job.only_dated
    ]
    weekly = [w for w in weekly if not any(_overlap(w, d) for d in dated)]
    kept, touched = [s for s in dated if not _touch(s, more)], [s for s in (*dated, *weekly) if _touch(s, more)]
    joined = more
    for old in touched:
        if old.hands == more.hands:
            joined = replace(joined, start=min(joined.start, old.start), end=max(joined.end, old.end))
        else:
            # An end before its start is what a piece that is wholly covered comes to.
            pieces = replace(old, end=min(old.end, more.start)), replace(old, start=max(old.start, more.end))
            kept += [p for p in pieces if p.start < p.end]
    others = tuple(s for s in job.sessions if s.day != more.day)
    return replace(job, sessions=(*others, *sorted(kept, key=lambda s: s.start), joined))


def with_helper_every(job: Job, weekday: int) -> Job:
    """One more pair of hands in every session on a day of the week (0 is Monday).

    Raises
    ------
    ValueError
        There is never a session on that day.
    """
    weekly = tuple(replace(r, hands=r.hands + (r.weekday == weekday)) for r in job.repeating)
    dated = tuple(replace(s, hands=s.hands + (s.day.weekday() == weekday)) for s in job.sessions)
    if (weekly, dated) == (job.repeating, job.sessions):
        raise ValueError("there is never a session on that day")
    return replace(job, repeating=weekly, sessions=dated)


def _overlap(one: Session, other: Session) -> bool:
    return one.start < other.end and other.start < one.end


def _touch(one: Session, other: Session) -> bool:
    return one.start <= other.end and other.start <= one.end
