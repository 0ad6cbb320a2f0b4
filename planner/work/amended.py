"""A job as it has become: what its log says of work found, parts damaged, time lost and won."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from datetime import datetime, time, timedelta

from planner.model.job import Job, Move, OwnTask, Purchase, Session
from planner.model.log import BrokenLine, FoundLine
from planner.model.shapes import Pose
from planner.model.standing import Standing


def amended(job: Job, standing: Standing, now: datetime, setup_min: int) -> Job:
    """Work what the log says into a job, and let it go on from this moment.

    Parameters
    ----------
    job : Job
        As its file has it, an option taken.
    standing : Standing
    now : datetime
        Work goes on from here: earlier sessions are over, and the one that runs has begun.
    setup_min : int
        Minutes to set up at a session's start; who has worked today has done so.
    """
    midnight = datetime.combine(now.date(), time())
    at_work = any(line.at.date() == now.date() for line in standing.done.values())
    begun = max(midnight, now - timedelta(minutes=setup_min)) if at_work else now
    lost = frozenset(standing.lost)
    extra = tuple(
        Session(day=e.day, start=e.start, end=e.end, hands=e.hands) for e in standing.extra if e.day not in lost
    )
    won = {s.day for s in extra}
    later = job.start is not None and job.start > now.date()
    return replace(
        job,
        start=job.start if later else now.date(),
        from_time=None if later or begun == midnight else begun.time().replace(second=0, microsecond=0),
        tasks=(*job.tasks, *(_found(f) for f in standing.found), *(_mend(b) for b in standing.broken)),
        purchases=(*job.purchases, *(_again(b) for b in standing.broken if b.lead_days or b.price)),
        sessions=(*job.sessions, *extra),
        days_off=tuple(d for d in (*job.days_off, *sorted(lost)) if d not in won or d in lost),
    )


def pinned(job: Job, homes: Mapping[str, Pose], after: Mapping[str, Pose]) -> Job:
    """The job with parts held to the homes that were agreed, where they would now go elsewhere.

    Parameters
    ----------
    job : Job
    homes : mapping of part to Pose
        As agreed.
    after : mapping of part to Pose
        As they would be chosen now.
    """
    named = {c.part for c in job.changes if isinstance(c, Move)}
    moves = tuple(
        Move(part=part, to=pose) for part, pose in homes.items() if part not in named and after.get(part) != pose
    )
    return replace(job, changes=(*job.changes, *moves))


def _found(line: FoundLine) -> OwnTask:
    return OwnTask(
        id=line.id,
        title=line.title,
        minutes=line.minutes,
        hands=line.hands,
        before=line.before,
        after=line.after,
        off=line.off,
        fitted=line.fitted,
    )


def _mend(line: BrokenLine) -> OwnTask:
    return OwnTask(
        id=line.id,
        title=f"Mend, make or buy again: {line.part} ({line.why})",
        minutes=line.minutes,
        off=(line.part,),
    )


def _again(line: BrokenLine) -> Purchase:
    return Purchase(
        id=f"buy:{line.id}",
        what=f"{line.part} again, or what mends it",
        price=line.price,
        lead_days=line.lead_days,
        for_part=line.part,
    )
