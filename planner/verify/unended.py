"""Watches that the log leaves on, or that failed: is what was heated looked at first, and watched once more."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import date

from planner.model.log import DoneLine, Entry, SignedLine, Verdict
from planner.model.plan import Plan, Step
from planner.model.steps import step_of_key
from planner.model.work import Task, WorkList


def unended_faults(work: WorkList, plan: Plan, lines: Sequence[Entry], today: date | None) -> Iterator[str]:
    """Every step that may be done while nobody has looked at what such a watch was there for.

    Parameters
    ----------
    work : WorkList
        The whole of it: its holds say which states no session ends with.
    plan : Plan
        What is to be done from now on.
    lines : sequence of Entry
        Those lines of the log that count.
    today : date, optional
        The day that is planned from; without it nothing is asked.
    """
    asked = [d for h in work.holds.values() if h.id.startswith("left:") for d in h.demands]
    for state in sorted({d.feature for d in asked if not d.on}):
        on_since: date | None = None
        for line in (e for e in lines if isinstance(e, DoneLine)):
            step = step_of_key(line.key)
            if step == Step(ref=state, on=True):
                on_since = line.at.date()
            elif step == Step(ref=state, on=False) or looked_over(step.ref) == state:
                on_since = None
        if on_since is None or today is None or on_since >= today:
            continue
        looks = [s.end for s in plan.slots if looked_over(s.step.ref) == state]
        if not looks:
            yield f"`{state}` was left on since {on_since}, and nobody is to look at what it was there to watch"
        for slot in plan.slots:
            if looks and slot.start < min(looks) and not looked_over(slot.step.ref):
                told = f"`{state}`, left on since {on_since}, was to watch"
                yield f"`{slot.step.ref}` comes before the look at what {told}"


def rewatch_faults(work: WorkList, plan: Plan, lines: Sequence[Entry]) -> Iterator[str]:
    """Every watch that failed last and is not kept to its full time in the plan."""
    for task in work.tasks.values():
        point = work.checkpoints.get(task.checkpoint or "")
        if point is None or point.unit != "min" or point.low is None:
            continue
        said = [e for e in lines if isinstance(e, SignedLine) and step_of_key(e.key).ref == task.id]
        if not said or said[-1].verdict is not Verdict.FAILED:
            continue
        kept = [(s.end - s.start).total_seconds() / 60.0 for s in plan.slots if s.step == Step(ref=task.id)]
        if max(kept, default=0.0) < point.low:
            yield f"the watch of `{task.id}` failed and is not kept for {point.low:g} min once more"
        yield from _left_between(task, work, plan, lines)


def _left_between(task: Task, work: WorkList, plan: Plan, lines: Sequence[Entry]) -> Iterator[str]:
    """A watch left, though it is on since another under it failed, before that is kept once more."""
    ending = {d.feature for h in work.holds.values() if h.id.startswith("left:") for d in h.demands if not d.on}
    turned = [step_of_key(e.key) for e in lines if isinstance(e, DoneLine)]
    last = {step.ref: step.on for step in turned if step.on is not None}
    on = {d.feature for d in task.demands if d.on and d.feature in ending and last.get(d.feature)}
    begun = min((s.start for s in plan.slots if s.step == Step(ref=task.id)), default=None)
    for slot in plan.slots:
        if begun is not None and slot.step.on is False and slot.step.ref in on and slot.start < begun:
            yield f"`{slot.step.ref}` is left before the watch of `{task.id}`, which failed, is kept once more"


def looked_over(task: str) -> str:
    """The state that a task is the look of; empty of any other task."""
    head, _, rest = task.partition(".")
    return rest.rpartition(".")[0] if head == "ended" else ""
