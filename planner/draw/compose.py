"""The drawings: a vehicle as it stands, a job on it before and after, and closer looks at a part of either."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace

from planner.draw.frames import Extent
from planner.draw.layout import Subject, lay_out, lay_out_at_most
from planner.draw.scene import DONE, NOW, Thing, things_changed, things_standing
from planner.draw.sheet import Mark, Sheet
from planner.draw.spots import Meeting, meetings_asked, meetings_done, meetings_now
from planner.draw.windows import busy_window, window_round
from planner.knockon import Fault
from planner.model.effects import EffectKind, Knockons
from planner.model.job import Job
from planner.model.vehicle import Vehicle
from planner.units import format_length

_MEASURE = "drawn from the measured sizes: measure again before cutting metal"
_CHANGED = ("changes lie over what is in front of them", "dashed: old place")
_ABOUT = "to scale: from above, from the right and from the front"
_NAMED_AT_MOST = 2
_WORTH_A_SHEET = 2.0
"""A closer look is worth a sheet when it is at least so many times as large."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Near:
    """A closer look at a part, with so much round it."""

    part: str
    reach_mm: float


class UnknownPartError(ValueError):
    """There is nothing of that id on the drawing; ``names`` are the names of what there is, by id."""

    def __init__(self, part: str, names: Mapping[str, str]) -> None:
        super().__init__(f"there is no part or link `{part}`")
        self.part = part
        self.names = dict(names)


def draw_vehicle(vehicle: Vehicle, faults: Iterable[Fault] = (), near: Near | None = None) -> Sheet:
    """One sheet of the vehicle as it stands, its larger parts numbered from the front to the rear.

    Raises
    ------
    UnknownPartError
        When there is no part to be near to.

    """
    things = things_standing(vehicle)
    meetings = meetings_now(vehicle, faults, _names(things))
    clashes = f" {len(meetings)} places in which things are in each other's way." if meetings else ""
    if near is not None:
        return _near(vehicle, (things, meetings), near, None, ())
    subject = Subject(
        name="vehicle",
        title=vehicle.name,
        about=f"{vehicle.name} as it stands, {_ABOUT}. "
        f"{len(vehicle.components)} components, {len(vehicle.links)} links.{clashes}",
        units=vehicle.units,
        ground_mm=vehicle.ground_z_mm,
        notes=(_MEASURE, "small parts and links have no number"),
    )
    return lay_out(subject, things, meetings, has_job=False)


def draw_job(vehicle: Vehicle, job: Job, knockons: Knockons, near: Near | None = None) -> Sheet:
    """One sheet of the vehicle before and after a job, with everything that changes numbered and marked.

    Raises
    ------
    ValueError
        When the job has no answer: then there is nothing to show after it.
    UnknownPartError
        When there is no part to be near to.

    """
    things, meetings = _worked_out(vehicle, job, knockons)
    if near is not None:
        return _near(vehicle, (things, meetings), near, job, (*_CHANGED, *_unsettled(knockons, meetings)))
    subject = Subject(
        name=job.id,
        title=f"{vehicle.name}: {job.name}",
        about=f"Before and after the job, {_ABOUT}. {_counts(things, meetings)}.",
        units=vehicle.units,
        ground_mm=vehicle.ground_z_mm,
        notes=(_MEASURE, *_CHANGED, *_unsettled(knockons, meetings)),
    )
    return lay_out(subject, things, meetings, has_job=True)


def draw_detail(vehicle: Vehicle, job: Job, knockons: Knockons, whole: Sheet) -> Sheet | None:
    """One more sheet of where a job gets in the way of what stands there; None when it would show hardly more.

    Raises
    ------
    ValueError
        When the job has no answer.

    """
    things, meetings = _worked_out(vehicle, job, knockons)
    extents = busy_window(things, meetings, vehicle.ground_z_mm)
    if extents is None:
        return None
    told = _counts(things, meetings), (*_CHANGED, *_unsettled(knockons, meetings), *_swings(things, extents))
    subject = _closer(vehicle, job, f"{job.id}.detail", "where it is tight", told)
    return lay_out_at_most(subject, things, meetings, extents, whole.scale / _WORTH_A_SHEET)


def _worked_out(vehicle: Vehicle, job: Job, knockons: Knockons) -> tuple[tuple[Thing, ...], tuple[Meeting, ...]]:
    if not knockons.after:
        raise ValueError(f"`{job.id}` has no answer: there is nothing to draw after it")
    things = things_changed(vehicle, job, knockons)
    names = _names(things)
    return things, (*meetings_asked(vehicle, knockons, names), *meetings_done(vehicle, knockons, names))


def _near(
    vehicle: Vehicle,
    worked: tuple[tuple[Thing, ...], tuple[Meeting, ...]],
    near: Near,
    job: Job | None,
    changed: tuple[str, ...],
) -> Sheet:
    things, meetings = worked
    thing = next((t for t in things if t.id == near.part), None)
    if thing is None:
        raise UnknownPartError(near.part, _names(things))
    extents = window_round(thing, near.reach_mm, vehicle.ground_z_mm, has_job=job is not None)
    where = f"{format_length(near.reach_mm, vehicle.units)} round {thing.name}"
    name = f"{job.id if job is not None else 'vehicle'}.near-{thing.id}"
    subject = _closer(vehicle, job, name, where, ("", (*changed, *_swings(things, extents))))
    subject = replace(subject, sought=thing.id)
    return lay_out(subject, things, meetings, extents=extents, has_job=job is not None)


def _unsettled(knockons: Knockons, meetings: Iterable[Meeting]) -> tuple[str, ...]:
    """What is not known of runs: of links made anew, drawn from end to end, and of new ones drawn not clear."""
    drawn = sorted({m.comer for m in meetings if m.state == DONE})
    unclear = f"as the job draws it, not clear: {_few(drawn, knockons)}"
    return (*_unknown(knockons), *([unclear] if drawn else []))


def _few(links: list[str], knockons: Knockons) -> str:
    names = [knockons.links_after[i].name if i in knockons.links_after else i for i in links]
    return ", ".join(names) if len(names) <= _NAMED_AT_MOST else f"{len(names)} runs"


def _unknown(knockons: Knockons) -> tuple[str, ...]:
    remade = sorted({e.subject for e in knockons.effects if e.kind is EffectKind.REMADE})
    several = [i for i in remade if i not in knockons.runs]
    if not several:
        return ()
    if len(several) == len(remade):
        return ("runs of R are not settled",)
    if len(several) > _NAMED_AT_MOST:
        return (f"the runs of {len(several)} of {len(remade)} R are not settled",)
    return (f"runs not settled: {_few(several, knockons)}",)


def _swings(things: Iterable[Thing], extents: Mapping[str, Extent]) -> tuple[str, ...]:
    """What the fine dots are, when a part that moves comes into a window."""
    forms = [(f, e) for t in things for s, e in extents.items() if (f := t.form(s)) is not None]
    seen = any(f.mover is not None and f.meets(e.low, e.high) for f, e in forms)
    return ("fine dots: where a part swings or slides",) if seen else ()


def _closer(vehicle: Vehicle, job: Job | None, name: str, where: str, told: tuple[str, tuple[str, ...]]) -> Subject:
    """What a window is about; ``told`` are the counts and the notes on what changes."""
    state = "Before and after the job" if job is not None else f"{vehicle.name} as it stands"
    return Subject(
        name=name,
        title=f"{vehicle.name}: {job.name}" if job is not None else vehicle.name,
        about=f"{state}, {where}, cut at the frames, {_ABOUT}. {told[0]}".rstrip(". ") + ".",
        units=vehicle.units,
        ground_mm=vehicle.ground_z_mm,
        notes=(_MEASURE, *told[1]),
        where=where,
    )


def _names(things: Iterable[Thing]) -> dict[str, str]:
    return {t.id: t.name for t in things}


def _counts(things: Iterable[Thing], meetings: tuple[Meeting, ...]) -> str:
    marks = [t.mark for t in things]
    counts = [f"{marks.count(m)} {m.words} ({m.value})" for m in Mark if m in marks]
    standing = [m for m in meetings if m.state == NOW]
    if standing:
        counts.append(f"{len(standing)} clashes with what stands there")
    if len(meetings) > len(standing):
        counts.append(f"{len(meetings) - len(standing)} clashes of drawn runs, {DONE}")
    return ", ".join(counts)
