"""A plan that is worked to, cut down to what is left of it: nothing is searched, nothing is moved."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import date

from planner.model.catalog import Catalog
from planner.model.effects import Proof
from planner.model.job import Job
from planner.model.plan import Plan, Slot, Step, Strip
from planner.model.work import WorkList
from planner.order.calendar import Calendar, calendar_of
from planner.order.schedule_net import Place
from planner.order.schedule_plan import load_of, plan_of
from planner.order.strip_better import cost_of, floor_of
from planner.order.strip_bounds import forced_counts
from planner.order.strip_solve import dislike_of


def resumed(work: WorkList, slots: Sequence[Slot], job: Job, catalog: Catalog, *, today: date) -> Plan | None:
    """The plan that has these slots, each when it was to be; None when they cannot be a plan for what is left.

    Nothing is claimed about how good it is. Whether it keeps every rule is for the checker to say.

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
    if not slots:
        return None
    calendar = calendar_of(job, catalog, today)
    steps = tuple(dict.fromkeys(s.step for s in slots if s.step.on is None))
    order = tuple(s.step for s in slots if s.step.on is not None or s.part == _first_part(slots, s))
    if len(steps) != sum(1 for s in order if s.on is None):
        return None
    try:
        load = load_of(work, strip_of(work, order), calendar)
    except (KeyError, ValueError):
        return None
    places = _places(slots, calendar)
    if places is None:
        return None
    number = {(n.ref, n.number): i for i, n in enumerate(load.thread.nodes)}
    counted: dict[str, int] = {}
    found = []
    for slot, place in zip(slots, places, strict=True):
        ref = slot.step.ref
        if slot.step.on is not None:
            counted[ref] = counted.get(ref, 0) + 1
        found.append(replace(place, step=number[ref, 0 if slot.step.on is None else counted[ref]]))
    return replace(plan_of(load, found), proof=Proof.FOUND)


def strip_of(work: WorkList, order: tuple[Step, ...]) -> Strip:
    """The strip-down that does the steps of a work list in this order, with what is known of it without a search."""
    cost, floor = cost_of(work, order), floor_of(work, forced_counts(work))
    return Strip(
        proof=Proof.PROVED if floor >= cost else Proof.FOUND,
        steps=order,
        cost=cost,
        bound=min(floor, cost),
        dislike=dislike_of(work, order),
    )


def _first_part(slots: Sequence[Slot], slot: Slot) -> int:
    return min(s.part for s in slots if s.step == slot.step)


def _places(slots: Sequence[Slot], calendar: Calendar) -> list[Place] | None:
    """Where the slots lie in the calendar; None when one of them lies in no session any more."""
    found = []
    for slot in slots:
        start, end = calendar.minute(slot.start), calendar.minute(slot.end)
        bay = calendar.index_at(start)
        if bay < 0 or end > calendar.bays[bay].closes:
            return None
        found.append(Place(step=0, bay=bay, start=start, end=end))
    return found
