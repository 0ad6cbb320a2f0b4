"""Spoiling a sound plan so that one rule is broken for certain by the way it is done.

A sabotage gives the broken case and a pattern that one of the checker's sentences must match, or None when the case
does not lend itself to it. Totals, strip and trade-off are set right after a change of slots: only the rule meant is
broken.
"""

from collections.abc import Callable
from dataclasses import replace
from datetime import datetime, timedelta
from random import Random

from random_plans import Case, piece

from planner.model.plan import Slot, Step
from planner.model.work import Task, Toggle

Broken = tuple[Case, str] | None
Sabotage = Callable[[Random, Case], Broken]
MINUTE = timedelta(minutes=1)


def steps_now(case: Case, slots: list[Slot]) -> Case:
    """The case with other slots, its totals and strip set right again: only the order itself is broken."""
    slots = sorted(slots, key=lambda s: (s.start, s.end))
    split = {t.id for t in case.work.tasks.values() if t.splits}
    steps = []
    for s in slots:
        if s.step.ref not in split or s.step.on is not None or s.step not in steps:
            steps.append(s.step)
    pieces = [piece(case.work, s) for s in steps]
    dislike = sum(p.dislike_min or 0 for p in pieces if isinstance(p, Toggle))
    cost = dislike + sum(p.minutes * p.hands for p in pieces if isinstance(p, Toggle))
    used = {b: s.start.date() for s in reversed(slots) for b in piece(case.work, s.step).purchases}
    plan = replace(
        case.plan,
        slots=tuple(slots),
        strip=replace(case.plan.strip, steps=tuple(steps), cost=cost, dislike=dislike, bound=0),
        finish=max((s.end for s in slots), default=None),
        work_min=sum(p.minutes * p.hands for p in pieces),
        order_by={b: day - timedelta(days=case.work.buys[b].lead_days) for b, day in used.items()},
        frontier=(),
        earliest=None,
    )
    return replace(case, plan=plan)


def with_plan(case: Case, **changes: object) -> Case:
    return replace(case, plan=replace(case.plan, **changes))


def with_task(case: Case, new: Task) -> Case:
    return replace(case, work=replace(case.work, tasks={**case.work.tasks, new.id: new}))


def with_toggle(case: Case, step: Step, **changes: object) -> Case:
    feature = case.work.features[step.ref]
    made = replace(piece(case.work, step), **changes)
    feature = replace(feature, **{"turn_on" if step.on else "turn_off": made})
    return replace(case, work=replace(case.work, features={**case.work.features, step.ref: feature}))


def task_slots(case: Case) -> list[Slot]:
    return [s for s in case.plan.slots if s.step.on is None]


def change_slots(case: Case) -> list[Slot]:
    return [s for s in case.plan.slots if s.step.on is not None]


def begins(case: Case) -> dict[str, datetime]:
    return {s.step.ref: s.start for s in reversed(task_slots(case))}


def ends(case: Case) -> dict[str, datetime]:
    return {s.step.ref: s.end for s in task_slots(case)}


def other_slot(case: Case, old: Slot, new: Slot) -> list[Slot]:
    return [new if s is old else s for s in case.plan.slots]


def moved_to(slot: Slot, start: datetime) -> Slot:
    return replace(slot, start=start, end=start + (slot.end - slot.start))


def pick(rng: Random, could: list) -> object | None:
    return rng.choice(could) if could else None
