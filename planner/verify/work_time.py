"""When there is time to work, worked out afresh from what a job says: its sessions, day by day."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from planner.model.catalog import Catalog
from planner.model.job import Job, Session
from planner.model.plan import Plan, Slot


@dataclass(frozen=True, slots=True, kw_only=True)
class Kept:
    """Minutes of each session that are not for work: ``setup_min`` at its start, ``tidy_min`` at its end."""

    setup_min: int
    tidy_min: int


def kept_of(job: Job, catalog: Catalog) -> Kept:
    """Give what is kept free: the job's own word goes before the catalog's."""
    setup_min = catalog.tidy_min if job.setup_min is None else job.setup_min
    return Kept(setup_min=setup_min, tidy_min=job.tidy_min)


def first_day(job: Job, today: date) -> date:
    """Give the first day on which anything can be done or ordered."""
    return today if job.start is None else max(today, job.start)


def sessions_on(job: Job, day: date) -> tuple[Session, ...]:
    """Give the sessions of one day: the dated ones, and unless only they count the weekly ones that overlap none."""
    if day in job.days_off:
        return ()
    dated = {session for session in job.sessions if session.day == day and session.minutes > 0}
    found = set(dated)
    for weekly in job.repeating:
        displaced = any(weekly.start < other.end and other.start < weekly.end for other in dated)
        if (
            day not in job.only_dated
            and weekly.weekday == day.weekday()
            and weekly.start < weekly.end
            and not displaced
        ):
            found.add(Session(day=day, start=weekly.start, end=weekly.end, hands=weekly.hands))
    begun = job.from_time if day == job.start else None
    if begun is not None:
        left = {session for session in found if session.end > begun}
        found = {s if s.start >= begun else Session(day=day, start=begun, end=s.end, hands=s.hands) for s in left}
    return tuple(sorted(found, key=lambda session: (session.start, session.end, session.hands)))


def sessions_between(job: Job, first: date, last: date) -> Iterator[Session]:
    """Give the sessions of all days from ``first`` to ``last``, both counted."""
    for number in range((last - first).days + 1):
        yield from sessions_on(job, first + timedelta(days=number))


def opens_at(session: Session, kept: Kept) -> datetime:
    """When work can begin."""
    return datetime.combine(session.day, session.start) + timedelta(minutes=kept.setup_min)


def closes_at(session: Session, kept: Kept) -> datetime:
    """When work must be over."""
    return datetime.combine(session.day, session.end) - timedelta(minutes=kept.tidy_min)


def session_of(plan: Plan, slot: Slot) -> Session | None:
    """Give the session a slot says it is in; None when there is none of that number."""
    return plan.sessions[slot.session] if 0 <= slot.session < len(plan.sessions) else None


def session_faults(plan: Plan, job: Job) -> Iterator[str]:
    """Give a sentence for each session of a plan that is no work time of the job."""
    for number, session in enumerate(plan.sessions):
        told = f"session {number} on {session.day} from {session.start:%H:%M} to {session.end:%H:%M}"
        if session.day in job.days_off:
            yield f"{told} is on a day off"
        elif session not in sessions_on(job, session.day):
            yield f"{told} with {session.hands} hands is no work time of the job"
        if number and not _before(plan.sessions[number - 1 : number + 1]):
            yield f"{told} is not after session {number - 1}"


def _before(pair: Sequence[Session]) -> bool:
    first, second = pair
    return (first.day, first.end) <= (second.day, second.start)
