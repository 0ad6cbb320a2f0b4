"""Welds that were covered by a plan of an earlier program, which did not ask for a look at them bare."""

from __future__ import annotations

from dataclasses import replace

from planner.model.catalog import Catalog, Work
from planner.model.standing import Standing
from planner.model.work import Task, WorkList

COVERED = (
    "It was painted or built in before this look was asked for: look at what can be seen of it, by lamp and mirror; "
    "what carries brakes, steering, seats or the frame is bared where you are not sure of it"
)


def with_covered(work: WorkList, before: WorkList | None, standing: Standing, catalog: Catalog) -> WorkList:
    """The work list with what is painted or built in already looked at as it is: nothing is taken off again for it.

    Parameters
    ----------
    work : WorkList
        The whole of it, as the program of today makes it.
    before : WorkList or None
        That of the plan that was agreed.
    standing : Standing
    catalog : Catalog
        Says what is looked at bare.
    """
    known = {} if before is None else before.tasks
    eased = {
        task.id: replace(task, demands=(), notes=(*task.notes, COVERED))
        for task in work.tasks.values()
        if _is_bare(work, task, catalog)
        and task.id not in standing.finished
        and (task.id not in known or COVERED in known[task.id].notes)
        and before is not None
        and _is_covered(work, task, standing)
    }
    return replace(work, tasks={**work.tasks, **eased}) if eased else work


def _is_bare(work: WorkList, task: Task, catalog: Catalog) -> bool:
    point = work.checkpoints.get(task.checkpoint or "")
    rule = None if point is None else catalog.rules.get(point.rule)
    return rule is not None and rule.bare


def _is_covered(work: WorkList, look: Task, standing: Standing) -> bool:
    """Whether its paint is done; of what nothing paints, whether what was off for it has been put back."""
    waits = [t for t in work.tasks.values() if look.id in {a.task for a in t.after}]
    paints = [t for t in waits if t.work is Work.FINISHING or (t.work is Work.WELDING and t.id != look.id)]
    if paints:
        return any(t.id in standing.finished for t in paints)
    made = all(a.task in standing.finished for a in look.after)
    away = [d.feature for d in look.demands if not d.on]
    return made and any(standing.states.get(f, work.features[f].start) for f in away)
