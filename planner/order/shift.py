"""A plan that is worked to, moved on to where it still fits: its order and its sessions are kept as far as they go.

Nothing is searched. What is left is done in the order that was agreed, each step in its session or, where that is
full or over, in the next one; work that came up since is done when something needs it, at the latest at the end. What
it needs taken off or opened once more is fetched just before it.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from datetime import date

from planner.model.catalog import Catalog
from planner.model.effects import Proof
from planner.model.job import Job
from planner.model.plan import Plan, Slot, Step
from planner.model.work import WorkList
from planner.order.calendar import Calendar, calendar_of
from planner.order.pack import Homes, Packer
from planner.order.resume import strip_of
from planner.order.schedule_bound import ready_for_holds
from planner.order.schedule_plan import by_step, load_of, plan_of
from planner.order.strip_bounds import Node
from planner.order.strip_problem import unknown_references
from planner.order.strip_repair import Walk, is_plan
from planner.order.thread import nodes_of

MOVED_ON = "the order that was agreed, moved on to where it fits: nothing was looked for that may be better"


def shifted(work: WorkList, slots: Sequence[Slot], job: Job, catalog: Catalog, *, today: date) -> Plan | None:
    """The plan that keeps to these slots as far as it can; None where this simple way finds none.

    Parameters
    ----------
    work : WorkList
        What is left.
    slots : sequence of Slot
        What is left of the agreed plan, in its order.
    job : Job
        As it has become, from now on.
    today : date
    """
    ready = ready_for_holds(work)
    if not slots or unknown_references(work):
        return None
    walked = _walked(ready, slots)
    if walked is None or not is_plan(ready, walked.steps):
        return None
    calendar = calendar_of(job, catalog, today)
    try:
        load = load_of(work, strip_of(work, tuple(walked.steps)), calendar)
    except ValueError:
        # A way that a part comes off by holds at another moment only.
        return None
    wanted = dict(zip(nodes_of(walked.steps), walked.slots, strict=True))
    starts = [calendar.minute(wanted[n].start) for n in load.thread.nodes]
    packer = Packer(
        net=load.net,
        rank=_ranks(load.thread.nodes, walked.steps, starts),
        style=load.style,
        homes=Homes(bays=[_bay(calendar, start) for start in starts], floor=True),
    )
    if not calendar.bays or not packer.run():
        return None
    return replace(plan_of(load, by_step(packer.places)), proof=Proof.FOUND, notes=(MOVED_ON,))


@dataclass(kw_only=True)
class _Walked:
    """Steps that keep every rule, each with the slot it was done in or for."""

    steps: list[Step]
    slots: list[Slot] = field(default_factory=list)


def _walked(ready: WorkList, slots: Sequence[Slot]) -> _Walked | None:
    """Walk through what is left in the order agreed, fetching what a step needs now and did not before."""
    walk = Walk(ready)
    found = _Walked(steps=walk.steps)

    def note(slot: Slot) -> None:
        del found.slots[len(walk.steps) :]
        found.slots += [slot] * (len(walk.steps) - len(found.slots))

    late = []
    for slot in slots:
        step = slot.step
        if step.on is None:
            if step.ref in ready.tasks and not walk.do(step.ref):
                late.append(step.ref)
        elif step.ref in ready.features and walk.play(step):
            walk.steps.append(step)
        note(slot)
    if not all(walk.do(ref) for ref in (*late, *ready.tasks)):
        return None
    if not walk.finish():
        return None
    note(slots[-1])
    return found


def _ranks(nodes: Sequence[Node], steps: Sequence[Step], starts: Sequence[int]) -> list[tuple[int, ...]]:
    """By the start agreed, and of those that were to start together in the order walked."""
    place = {n: i for i, n in enumerate(nodes_of(steps))}
    return [(start, place[n]) for n, start in zip(nodes, starts, strict=True)]


def _bay(calendar: Calendar, start: int) -> int:
    """The session a start lies in, or the next one; the last when there is none after it."""
    return min(calendar.first_closing_after(start + 1), len(calendar.bays) - 1)
