"""Dated work sessions from what a job says about time."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, datetime, timedelta

from planner.model.job import Job, Session

LOOK_AHEAD = timedelta(days=731)
"""Sessions further off than two years are not planned."""


def first_day(job: Job, today: date) -> date:
    """First day work can be done and things can be ordered: ``today``, or the job's start if that is later."""
    return today if job.start is None else max(today, job.start)


def sessions_from(job: Job, today: date) -> tuple[Session, ...]:
    """All work sessions from the first day on, by day and start."""
    begin = first_day(job, today)
    days = (begin + timedelta(days=number) for number in range(LOOK_AHEAD.days + 1))
    return tuple(session for day in days for session in sessions_on(job, day))


def sessions_on(job: Job, day: date) -> tuple[Session, ...]:
    """Work sessions of one day, by start.

    Days off have none, and some days only dated ones. A dated session takes the place of repeating ones it overlaps on
    its day: it is the more particular word. Sessions of no length are left out, and of the first day what is over.
    """
    if day in job.days_off:
        return ()
    found = list(dict.fromkeys(s for s in job.sessions if s.day == day and s.minutes > 0))
    dated = tuple(found)
    every = () if day in job.only_dated else job.repeating
    for weekly in dict.fromkeys(r for r in every if r.weekday == day.weekday()):
        session = Session(day=day, start=weekly.start, end=weekly.end, hands=weekly.hands)
        if session.minutes > 0 and not any(_overlap(session, other) for other in dated):
            found.append(session)
    if day == job.start and job.from_time is not None:
        late = job.from_time
        found = [replace(s, start=max(s.start, late)) for s in found if s.end > late]
    return tuple(sorted(found, key=lambda s: (s.start, s.end, s.hands)))


def begins(session: Session) -> datetime:
    """Wall-clock start."""
    return datetime.combine(session.day, session.start)


def finishes(session: Session) -> datetime:
    """Wall-clock end."""
    return datetime.combine(session.day, session.end)


def _overlap(one: Session, other: Session) -> bool:
    return one.start < other.end and other.start < one.end
