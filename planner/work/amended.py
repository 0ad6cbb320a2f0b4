"""A job as it has become: what its log says of work found, parts damaged, time lost and won."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from datetime import datetime, time, timedelta

from planner.knockon.homed import host_at
from planner.model.catalog import Catalog
from planner.model.job import Add, AddLink, Job, Mending, Move, OwnTask, Purchase, Replace, Session
from planner.model.log import BrokenLine, FoundLine
from planner.model.shapes import Pose
from planner.model.standing import Standing
from planner.model.vehicle import Component, Freedom, Link, Vehicle
from planner.model.words import KINDLING
from planner.work.more_time import with_more_time


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
    job = replace(job, days_off=(*job.days_off, *sorted(standing.lost)))
    for more in standing.extra:
        job = with_more_time(job, Session(day=more.day, start=more.start, end=more.end, hands=more.hands))
    later = job.start is not None and job.start > now.date()
    return replace(
        job,
        start=job.start if later else now.date(),
        from_time=None if later or begun == midnight else begun.time().replace(second=0, microsecond=0),
        tasks=(*job.tasks, *(_found(f) for f in standing.found), *(_mend(b) for b in standing.broken)),
        purchases=(*job.purchases, *(_again(b) for b in standing.broken if b.lead_days or b.price)),
    )


def with_fuel_off(job: Job, vehicle: Vehicle, catalog: Catalog) -> Job:
    """The job with whatever holds fuel, or gasses as a battery does, taken off before heat or a drill comes to it.

    Parameters
    ----------
    job : Job
        With its log worked in.
    vehicle : Vehicle
    catalog : Catalog
        ``hole_shy`` says which kinds and groups these are.

    Returns
    -------
    Job
        A part that never comes off, or only with what it rides on, is left as it is: the verb that writes the line
        refuses it, and the checker does not accept it.
    """
    things: dict[str, Component | Link] = {**vehicle.links, **vehicle.components}
    things |= {c.component.id: c.component for c in job.changes if isinstance(c, Add | Replace)}
    things |= {c.link.id: c.link for c in job.changes if isinstance(c, AddLink)}
    return replace(
        job, tasks=tuple(_fuel_off(t, things.get(t.mending.on), catalog) if t.mending else t for t in job.tasks)
    )


def _fuel_off(task: OwnTask, thing: Component | Link | None, catalog: Catalog) -> OwnTask:
    mending = task.mending
    if mending is None or thing is None or task.at_bench or thing.id in task.fitted:
        return task
    if isinstance(thing, Component) and (thing.rides or thing.freedom is Freedom.STAYS):
        return task
    if not KINDLING & {*mending.does} or not catalog.is_hole_shy(thing):
        return task
    ahead = tuple(dict.fromkeys((*mending.ahead, thing.id)))
    return replace(task, off=(*task.off, thing.id), mending=replace(mending, ahead=ahead))


def pinned(job: Job, homes: Mapping[str, Pose], after: Mapping[str, Pose], vehicle: Vehicle) -> Job:
    """The job with parts held to the homes that were agreed, where they would now go elsewhere.

    Parameters
    ----------
    job : Job
    homes : mapping of part to Pose
        As agreed.
    after : mapping of part to Pose
        As they would be chosen now.
    vehicle : Vehicle
        Its mounting spaces say what a part is mounted on in the home that was agreed.
    """
    known, spaces = vehicle.components, vehicle.spaces.values()
    named = {c.part for c in job.changes if isinstance(c, Move)}
    hosts = {part: host_at(known[part], pose, spaces) for part, pose in homes.items()}
    moves = tuple(
        Move(part=part, to=pose, onto=None if hosts[part] == known[part].mounted_on else hosts[part])
        for part, pose in homes.items()
        if part not in named and after.get(part) != pose
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
        mending=_mending(line) if line.does else None,
    )


def _mending(line: FoundLine) -> Mending:
    """What is mended at the bench goes back mended, and what is mended in its place is fitted no more before."""
    itself = (line.on,) if line.on and (not line.before or line.on in line.off) else ()
    return Mending(
        does=line.does,
        on=line.on,
        opens=line.opens,
        spot_mm=line.spot_mm,
        ahead=tuple(dict.fromkeys((*line.before, *itself))),
    )


def _mend(line: BrokenLine) -> OwnTask:
    return OwnTask(
        id=line.id,
        title=f"Mend, make or buy again: {line.part} ({line.why})",
        minutes=line.minutes,
        off=(line.part,),
        replaces=line.part,
    )


def _again(line: BrokenLine) -> Purchase:
    return Purchase(
        id=f"buy:{line.id}",
        what=f"{line.part} again, or what mends it",
        price=line.price,
        lead_days=line.lead_days,
        for_part=line.part,
    )
