"""Whether a new part that nobody has measured is measured before anything is marked, cut, drilled or bent for it."""

from __future__ import annotations

from collections.abc import Iterator

from planner.model.effects import Knockons
from planner.model.shapes import Box, Cylinder
from planner.model.vehicle import Component, Vehicle
from planner.model.words import Work
from planner.model.work import Task, WorkList
from planner.verify.left import waited_for

_SHAPED = frozenset({Work.MARKING, Work.DRILLING, Work.CUTTING, Work.BENDING, Work.WELDING, Work.ROUTING})
_IN_TWENTY = 3
"""In doubt by three twentieths of its longest side, a part was never measured (starting guess)."""


def unmeasured_faults(vehicle: Vehicle, knockons: Knockons, work: WorkList) -> Iterator[str]:
    """A sentence for each step that shapes a new part, or a link that ends at it, before its size is known."""
    for name, part in sorted(knockons.after.items()):
        if name in vehicle.components or not _is_guess(part):
            continue
        ends = {i for i, link in knockons.links_after.items() if name in {e.component for e in link.ends}}
        about = {name, *ends}
        for task in work.tasks.values():
            if task.id.partition(".")[0] in about and task.work in _SHAPED and not _measured_first(work, task, name):
                yield f"`{task.id}` is done with the size of `{name}` not measured, and that is a guess"


def _measured_first(work: WorkList, task: Task, part: str) -> bool:
    """Whether a step that measures the part comes before a task, through any number of others."""
    step = f"{part}.size"
    return step in waited_for(work, task.id) and work.tasks[step].work is Work.MEASURING


def _is_guess(part: Component) -> bool:
    for solid in part.solids:
        if isinstance(solid, Box):
            longest_mm = max(solid.size_mm)
        elif isinstance(solid, Cylinder):
            longest_mm = max(solid.length_mm, solid.across_mm)
        else:
            continue
        if longest_mm > 0.0 and 20 * solid.doubt_mm >= _IN_TWENTY * longest_mm:
            return True
    return False
