"""No sparks where paint is wet: what is hot comes first in a session, or when the paint of an earlier one is dry."""

from __future__ import annotations

from dataclasses import replace

from planner.model.catalog import Work
from planner.model.work import Demand, Task
from planner.work.bodies import Ground
from planner.work.circuits import state_id
from planner.work.tasks import TaskBook

_GRINDER = "grinder"


def no_sparks_by_paint(ground: Ground, book: TaskBook) -> None:
    """Let whatever has to dry be painted in the state for that, and whatever brings sparks be done outside of it.

    The state lasts until the paint is dry, as all does that paint rests on. Without sparks in the job nobody enters it.
    """
    wet = [state_id(c.id) for c in ground.catalog.conditions.values() if c.wet]
    hot = {t for steps in book.hot.values() for t in steps} | {i for i, t in book.tasks.items() if _sparks(t)}
    for i, task in list(book.tasks.items()) if hot else ():
        dries = task.work is Work.FINISHING and task.keep_min > 0
        if dries or i in hot:
            states = (Demand(feature=s, on=dries) for s in wet)
            book.tasks[i] = replace(task, demands=tuple(dict.fromkeys((*task.demands, *states))))


def _sparks(task: Task) -> bool:
    return task.work is Work.WELDING or _GRINDER in task.tools
