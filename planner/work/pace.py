"""Minutes at this person's own pace."""

from __future__ import annotations

import math

from planner.model.catalog import Work
from planner.model.job import Job


def paced(job: Job, work: Work, minutes: float) -> int:
    """Minutes scaled by the job's factor for the kind of work, rounded up to whole minutes [min]."""
    return math.ceil(minutes * (job.pace or {}).get(work.value, 1.0) - 1e-9)


def shared_out(total_min: int | None, minutes: list[int]) -> list[float]:
    """Template minutes stretched to the part's own making time [min]; as they are when it has none."""
    if total_min is None or not sum(minutes):
        return [float(m) for m in minutes]
    return [m * total_min / sum(minutes) for m in minutes]
