"""Dated work sessions from what a job says about time."""

from __future__ import annotations

from datetime import date, datetime, timedelta

from planner.model.job import Job, Session

LOOK_AHEAD = timedelta(days=731)
"""Sessions further off than two years are not planned."""


def first_day(job: Job, today: date) -> date:
    """First day work can be done and things can be ordered: ``today``, or the job's start if that is later."""
    return today if job.start is None else max(today, job.start)


def sessions_from(job: Job, today: date) -> tuple[Session, ...]:
    """All work sessions from the first day on, by day and start.

    Days off have none. A dated session takes the place of repeating ones it overlaps on its day: it is the more
    particular word. Sessions of no length are left out.
    """
    begin = first_day(job, today)
    end = begin + LOOK_AHEAD
    off = set(job.days_off)
    dated = [s for s in dict.fromkeys(job.sessions) if begin <= s.day <= end and s.day not in off and s.minutes > 0]
    by_day: dict[date, list[Session]] = {}
    for session in dated:
        by_day.setdefault(session.day, []).append(session)
    found = list(dated)
    for number in range((end - begin).days + 1):
        day = begin + timedelta(days=number)
        for weekly in dict.fromkeys(job.repeating):
            if weekly.weekday != day.weekday() or day in off:
                continue
            session = Session(day=day, start=weekly.start, end=weekly.end, hands=weekly.hands)
            if session.minutes > 0 and not any(_overlap(session, other) for other in by_day.get(day, ())):
                found.append(session)
    return tuple(sorted(found, key=lambda s: (s.day, s.start, s.end, s.hands)))


def begins(session: Session) -> datetime:
    """Wall-clock start."""
    return datetime.combine(session.day, session.start)


def finishes(session: Session) -> datetime:
    """Wall-clock end."""
    return datetime.combine(session.day, session.end)


def _overlap(one: Session, other: Session) -> bool:
    return one.start < other.end and other.start < one.end
