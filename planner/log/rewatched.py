"""Hot work whose watch failed: the work itself is done, and only the watch is kept once more.

Who has to do the work again as well says so with the failure.
"""

from __future__ import annotations

from dataclasses import replace

from planner.log.signing import NO
from planner.model.log import FailedLine, SignedLine
from planner.model.standing import Standing
from planner.model.work import Checkpoint, Task, WorkList

MINUTES = "min"
"""Unit of a check that lasts: so long something is watched."""


def with_rewatched(work: WorkList, standing: Standing) -> WorkList:
    """The work list in which such work is no more than its watch."""
    failed = rewatched_in(work, standing)
    return replace(work, tasks=work.tasks | {ref: _watch(work, ref) for ref in failed}) if failed else work


def rewatched_in(work: WorkList, standing: Standing) -> tuple[str, ...]:
    """Ids of such work."""
    return tuple(ref for ref, line in standing.mending.items() if _is_rewatched(work, standing, ref, line))


def was_short(point: Checkpoint, line: SignedLine) -> bool:
    """Whether a watch failed by nothing but its time: there is nothing to put right, it is watched on."""
    said_no = bool(line.text.split()) and line.text.split()[-1].lower() in NO
    too_short = line.value is not None and point.low is not None and line.value < point.low
    return point.unit == MINUTES and too_short and not said_no and not line.why


def _is_rewatched(work: WorkList, standing: Standing, ref: str, line: FailedLine | SignedLine) -> bool:
    task = work.tasks.get(ref)
    point = None if task is None or task.checkpoint is None else work.checkpoints.get(task.checkpoint)
    if point is None or point.unit != MINUTES or not point.low or ref in standing.finished:
        return False
    return isinstance(line, SignedLine) and line.checkpoint == point.id and ref not in line.redo


def _watch(work: WorkList, ref: str) -> Task:
    task = work.tasks[ref]
    point = work.checkpoints[task.checkpoint or ""]
    if task.title.startswith(ONLY):
        return task
    return replace(
        task,
        title=f"{ONLY}{task.title}",
        minutes=round(point.low or 0.0),
        hands=1,
        tools=(),
        purchases=(),
        notes=(f"{point.title}, once more: the watch failed, what was to be done is done",),
        spread=None,
        splits=False,
    )


ONLY = "Only watch once more, the work itself is done: "
