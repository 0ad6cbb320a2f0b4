"""What broke: is it whole again, with what was bought for it, before it is tried or fitted."""

from __future__ import annotations

from collections.abc import Iterator

from planner.model.catalog import Work
from planner.model.effects import Knockons
from planner.model.job import Job
from planner.model.work import WorkList
from planner.verify.sequence import Order, tasks_before


def broken_faults(knockons: Knockons, work: WorkList, job: Job | None, order: Order) -> Iterator[str]:
    """Give a sentence for each broken part that may be fitted, or called whole, too early.

    Parameters
    ----------
    knockons : Knockons
    work : WorkList
    job : Job or None
        With its log worked in.
    order : Order
    """
    subjects = {e.id: e.subject for e in knockons.effects}
    for own in () if job is None else job.tasks:
        task = work.tasks.get(own.id)
        if not own.replaces or task is None:
            continue
        bought = {i for i in work.buys if i == f"buy:{own.id}"}
        if not bought <= {*task.purchases}:
            yield f"`{own.id}` does not wait for what is bought for it"
        for feature in work.features.values():
            ends = feature.subject == own.replaces and ":" not in feature.id and feature.goal
            if ends and feature.turn_on is not None and own.id not in feature.turn_on.after:
                yield f"`{feature.id}` broke and may be fitted before `{own.id}`"
        for trial in (t for _, t in sorted(work.tasks.items()) if t.work is Work.TRIAL_FIT):
            if subjects.get(trial.effect) == own.replaces and own.id not in tasks_before(order, trial.id):
                yield f"`{trial.id}` tries what broke and may be done before `{own.id}`"
