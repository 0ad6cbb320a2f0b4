"""Wet paint and sparks: whether anything may be welded or ground while paint is wet."""

from __future__ import annotations

from collections.abc import Iterator

from planner.model.catalog import Catalog, When, Work
from planner.model.job import Job
from planner.model.work import Task, WorkList
from planner.verify.sequence import Order, tasks_before

_FIRST_START = "first-start"
"""Every state is left before it."""


def wet_paint_faults(work: WorkList, catalog: Catalog, job: Job | None, order: Order) -> Iterator[str]:
    """Every weld, spark or ground edge that may come while something painted in this job is still wet.

    Parameters
    ----------
    work : WorkList
        The answer to be checked.
    catalog : Catalog
        Which states stand for wet paint, and which checks go with sparks.
    job : Job or None
        Its own tasks, which may be hot by their own word.
    order : Order
        What comes before what in every valid order.
    """
    wet = {i for i, c in catalog.conditions.items() if c.wet}
    rules = {r.id: r for r in catalog.rules.values() if any(t.when is When.SPARKS for t in r.triggers)}
    watched = {c for r in rules.values() for c in r.conditions}
    own = {t.id for t in (() if job is None else job.tasks) if t.mending is None and watched & {*t.conditions}}
    hot = [t for i, t in sorted(work.tasks.items()) if i in own or t.checkpoint in rules or _brings_sparks(t)]
    painted = [t for _, t in sorted(work.tasks.items()) if t.work is Work.FINISHING and t.keep_min > 0]
    for state in sorted(wet) if hot else ():
        for task in painted:
            if state not in _states(work, task, on=True):
                yield f"`{task.id}` paints, and sparks may fly by it before it is dry"
        for task in hot if painted else ():
            if state not in _states(work, task, on=False) and _FIRST_START not in tasks_before(order, task.id):
                yield f"`{task.id}` brings sparks, and may be done where paint is wet"


def _brings_sparks(task: Task) -> bool:
    return task.work is Work.WELDING or any("grinder" in tool for tool in task.tools)


def _states(work: WorkList, task: Task, *, on: bool) -> set[str]:
    return {work.features[d.feature].subject for d in task.demands if d.on is on and d.feature in work.features}
