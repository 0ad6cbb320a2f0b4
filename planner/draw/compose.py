"""The two drawings: a vehicle as it stands, and a job on it before and after."""

from __future__ import annotations

from planner.draw.layout import Subject, lay_out
from planner.draw.scene import things_changed, things_standing
from planner.draw.sheet import Mark, Sheet
from planner.model.effects import Knockons
from planner.model.job import Job
from planner.model.vehicle import Vehicle

_MEASURE = "drawn from the measured sizes: measure again before cutting metal"


def draw_vehicle(vehicle: Vehicle) -> Sheet:
    """One sheet of the vehicle as it stands, its larger parts numbered from the front to the rear."""
    things = things_standing(vehicle)
    subject = Subject(
        name="vehicle",
        title=vehicle.name,
        about=f"{vehicle.name} as it stands, to scale: from above, from the right and from the front. "
        f"{len(vehicle.components)} components, {len(vehicle.links)} links.",
        units=vehicle.units,
        ground_mm=vehicle.ground_z_mm,
        notes=(_MEASURE, "small parts and links have no number"),
    )
    return lay_out(subject, things, has_job=False)


def draw_job(vehicle: Vehicle, job: Job, knockons: Knockons) -> Sheet:
    """One sheet of the vehicle before and after a job, with everything that changes numbered and marked.

    Raises
    ------
    ValueError
        When the job has no answer: then there is nothing to show after it.

    """
    if not knockons.after:
        raise ValueError(f"`{job.id}` has no answer: there is nothing to draw after it")
    things = things_changed(vehicle, job, knockons)
    marks = [t.mark for t in things]
    counts = ", ".join(f"{marks.count(m)} {m.words} ({m.value})" for m in Mark if m in marks)
    subject = Subject(
        name=job.id,
        title=f"{vehicle.name}: {job.name}",
        about=f"Before and after the job, to scale: from above, from the right and from the front. {counts}.",
        units=vehicle.units,
        ground_mm=vehicle.ground_z_mm,
        notes=(_MEASURE, "changes lie over what is in front of them", "dashed: old place", "runs of R are not settled"),
    )
    return lay_out(subject, things, has_job=True)
