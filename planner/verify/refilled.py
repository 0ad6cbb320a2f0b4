"""Whether a circuit is filled once more between a check of it that failed and the next time it is made."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from planner.model.log import DoneLine, Entry, SignedLine, Verdict
from planner.model.plan import Plan, Step
from planner.model.steps import step_of_key
from planner.model.work import Task, WorkList


def refilling_faults(work: WorkList, plan: Plan, lines: Sequence[Entry]) -> Iterator[str]:
    """Every failed check that is made again on a circuit which nobody has filled since.

    Parameters
    ----------
    work : WorkList
        The whole of it.
    plan : Plan
        What is to be done from now on.
    lines : sequence of Entry
        Those lines of the log that count.
    """
    steps = [slot.step for slot in plan.slots]
    for task in work.tasks.values():
        point = work.checkpoints.get(task.checkpoint or "")
        signed = [e for e in lines if isinstance(e, SignedLine) and e.checkpoint == task.checkpoint]
        if point is None or not point.filled_again or not signed or signed[-1].verdict is not Verdict.FAILED:
            continue
        made = next((i for i, step in enumerate(steps) if step == Step(ref=task.id, on=None)), len(steps))
        since = [step_of_key(e.key) for e in lines if isinstance(e, DoneLine) and e.n > signed[-1].n]
        for circuit in _proved(work, task):
            if not any(_fills(work, step, circuit) for step in (*since, *steps[:made])):
                yield f"checkpoint `{task.checkpoint}` failed and `{circuit}` is not filled before it is made again"


def _proved(work: WorkList, task: Task) -> Iterator[str]:
    for demand in task.demands:
        if demand.on and demand.last and work.features[demand.feature].id.startswith("circuit:"):
            yield demand.feature


def _fills(work: WorkList, step: Step, circuit: str) -> bool:
    """Whether a step closes a circuit, or fills it while it is closed."""
    if step.on is not None:
        return step.ref == circuit and step.on
    task = work.tasks.get(step.ref)
    asked = () if task is None or task.work.value != "filling" else task.demands
    return any(d.feature == circuit and d.on for d in asked)
