"""Is a question to others out long enough before the check of its answer, by the days that the job gives it."""

from __future__ import annotations

from collections.abc import Iterator

from planner.model.catalog import Catalog
from planner.model.job import Job
from planner.model.words import DAY_MIN
from planner.model.work import WorkList


def answer_faults(work: WorkList, catalog: Catalog, job: Job | None) -> Iterator[str]:
    """Every check of an answer that does not wait for it from the end of a step that asks.

    Parameters
    ----------
    work : WorkList
        The answer to be checked.
    catalog : Catalog
        The checkpoint rules.
    job : Job, optional
        Says how many days the answer takes; nothing is asked where it does not.
    """
    days = 0 if job is None or job.answer_days is None else job.answer_days
    for task in work.tasks.values() if days else ():
        gate = work.checkpoints.get(task.checkpoint or "")
        rule = None if gate is None else catalog.rules.get(gate.rule)
        if rule is None or not rule.ask:
            continue
        asking = {t.id for t in work.tasks.values() if t.title == rule.ask and t.checkpoint is None}
        longest = max((a.lag_min for a in task.after if a.task in asking), default=-1)
        if longest < days * DAY_MIN:
            yield f"`{task.id}` may come less than {days} days after anybody is asked"
