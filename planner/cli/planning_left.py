"""What is left of a job as a plan: the agreed one as it is, the agreed one moved on, or one that is looked for."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date, datetime
from typing import TYPE_CHECKING

from planner.model.log import ExtraLine
from planner.model.plan import NOTHING_LEFT

if TYPE_CHECKING:
    from collections.abc import Sequence

    from planner.model.catalog import Catalog
    from planner.model.job import Job
    from planner.model.log import Entry
    from planner.model.plan import Plan, Slot
    from planner.model.standing import Agreed, Standing
    from planner.model.work import WorkList
    from planner.order.halt import Halt


@dataclass(frozen=True, slots=True, kw_only=True)
class Situation:
    """Where a job stands, with all that a plan for what is left has to go by: ``work`` is the whole of it."""

    work: WorkList
    job: Job
    catalog: Catalog
    agreed: Agreed | None
    entries: tuple[Entry, ...]
    standing: Standing


@dataclass(frozen=True, slots=True, kw_only=True)
class Left:
    """A plan for the work that is left. ``kept``: the agreed one, untouched; ``again``: tests to be made once more."""

    work: WorkList
    plan: Plan
    kept: bool
    again: frozenset[str] = frozenset()


@dataclass(frozen=True, slots=True, kw_only=True)
class Ask:
    """What a plan is asked for: at which moment, with how much time, and whether a better one is looked for."""

    now: datetime
    limit_s: float
    halt: Halt | None = None
    anew: bool = False


def plan_left(there: Situation, ask: Ask) -> Left:
    """A plan for what is left; tests that it would spoil are made again, until there are no more of them.

    The agreed plan as it is, else moved on, when that is finished on the day agreed or as soon as what a search finds.
    """
    from planner.order import scheduled
    from planner.work import disturbed, left_of

    job, today = there.job, ask.now.date()
    first = today if job.start is None else max(today, job.start)
    left = left_of(there.work, there.standing, first)
    kept = None if ask.anew else _still_good(there, left, ask)
    if kept is not None:
        return Left(work=left, plan=kept, kept=True)
    last = None if there.agreed is None else _last(there.agreed, there.standing)
    again: frozenset[str] = frozenset()
    # With time won something earlier than what was agreed may be found: it is looked for.
    due = None if there.agreed is None or _won_time(there.standing) else there.agreed.plan
    while left.tasks or not _at_rest(left):
        moved = _moved_on(there, left, ask)
        if moved is not None and due is not None and _no_later(moved, due):
            plan = moved
        else:
            plan = scheduled(left, job, there.catalog, today=today, limit_s=ask.limit_s, last=last, halt=ask.halt)
            plan = moved if moved is not None and _no_later(moved, plan) else _watched_now(there, left, plan, today)
        spoiled = disturbed(there.work, plan, there.standing) - again
        if not spoiled:
            return Left(work=left, plan=plan, kept=False, again=again)
        again |= spoiled
        left = left_of(there.work, there.standing, first, again)
    return Left(work=left, plan=NOTHING_LEFT, kept=False)


def _watched_now(there: Situation, left: WorkList, plan: Plan, today: date) -> Plan:
    """The plan with a watch that is on kept and ended now, not some day: what is hot is not left alone meanwhile."""
    now_on = (f for f in left.ending if f in left.features and left.features[f].start)
    drawn = _shifted(there, left, plan.slots, today) if plan.slots and any(now_on) else None
    return drawn if drawn is not None and _no_later(drawn, plan) else plan


def _won_time(standing: Standing) -> bool:
    """Whether a session was won since the plan was agreed."""
    return any(isinstance(e, ExtraLine) for e in standing.since)


def _at_rest(work: WorkList) -> bool:
    return all(f.goal is None or f.start is f.goal for f in work.features.values())


def open_slots(agreed: Agreed, standing: Standing) -> tuple[Slot, ...]:
    """Slots of the agreed plan that are still to come."""
    from planner.model.steps import step_of_key

    return tuple(
        s
        for k, s in zip(agreed.keys, agreed.plan.slots, strict=True)
        if k not in standing.done and step_of_key(k).ref not in standing.skipped
    )


def _last(agreed: Agreed, standing: Standing) -> Plan:
    return replace(agreed.plan, slots=open_slots(agreed, standing))


def _still_good(there: Situation, left: WorkList, ask: Ask) -> Plan | None:
    """What is left of the agreed plan, when it still is a plan for what is left and nothing was won."""
    from planner.order import resumed
    from planner.verify import check_left

    if there.agreed is None or _won_time(there.standing):
        return None
    slots, today = open_slots(there.agreed, there.standing), ask.now.date()
    # A step that should be in hand just now began before now.
    whole_day = replace(there.job, from_time=None)
    plan = resumed(left, slots, whole_day, there.catalog, today=today)
    if plan is None or any(s.end < ask.now for s in slots):
        return None
    left_out = check_left(there.work, plan, there.entries, today)
    return None if left_out or wrong_with(left, plan, whole_day, there.catalog, today) else plan


def _moved_on(there: Situation, left: WorkList, ask: Ask) -> Plan | None:
    """What is left of the agreed plan moved on, where that makes a plan that the checker accepts."""
    if there.agreed is None or ask.anew:
        return None
    slots, today = open_slots(there.agreed, there.standing), ask.now.date()
    plan = _shifted(there, left, slots, today)
    won = [e for e in there.standing.since if isinstance(e, ExtraLine) and datetime.combine(e.day, e.end) > ask.now]
    if plan is None or not won:
        return plan
    used = _shifted(there, left, _drawn_in(there, left, slots, won, ask.now), today)
    return used if used is not None and _no_later(used, plan) else plan


def _shifted(there: Situation, left: WorkList, slots: Sequence[Slot], today: date) -> Plan | None:
    from planner.order import shifted

    plan = shifted(left, slots, there.job, there.catalog, today=today)
    return None if plan is None or wrong_with(left, plan, there.job, there.catalog, today) else plan


def _drawn_in(
    there: Situation, left: WorkList, slots: Sequence[Slot], won: Sequence[ExtraLine], now: datetime
) -> tuple[Slot, ...]:
    """The slots agreed, those drawn in that can be done in the time won: the others stay where they were.

    What can be done then shows when all that is later is done as soon as it can be.
    """
    from planner.model.steps import step_keys
    from planner.order import shifted

    first = max(now, min(datetime.combine(e.day, e.start) for e in won))
    early = tuple(replace(s, start=min(s.start, first)) for s in slots)
    packed = shifted(left, early, there.job, there.catalog, today=now.date())
    placed = () if packed is None else packed.slots
    inside = [(k, s) for k, s in zip(step_keys(placed), placed, strict=True) if any(_is_in(s, e) for e in won)]
    drawn = {k for k, _ in _of_use(left, inside)}
    return tuple(e if k in drawn else s for k, s, e in zip(step_keys(slots), slots, early, strict=True))


def _of_use(left: WorkList, inside: list[tuple[str, Slot]]) -> list[tuple[str, Slot]]:
    """Without what is only got ready for something later, as stands or a cold engine: that is left until then."""
    while True:
        asked = {d.feature for _, s in inside for d in left.piece(s.step).demands if d.on}
        spare = {s.step for _, s in inside if s.step.on and s.step.ref.startswith("state:")}
        used = [(k, s) for k, s in inside if s.step not in spare or s.step.ref in asked]
        if len(used) == len(inside):
            return used
        inside = used


def _is_in(slot: Slot, more: ExtraLine) -> bool:
    """Whether a slot begins in time that was won."""
    return slot.start.date() == more.day and more.start <= slot.start.time() < more.end


def _no_later(plan: Plan, other: Plan) -> bool:
    """Whether a plan is finished by the day on which another one is; one that is never finished is the latest."""
    if plan.finish is None or other.finish is None:
        return plan.finish is not None
    return plan.finish.date() <= other.finish.date()


def wrong_with(left: WorkList, plan: Plan, job: Job, catalog: Catalog, today: date) -> tuple[str, ...]:
    """What the independent checker has against a plan for what is left, by itself."""
    from planner.verify import check_plan, check_strip

    return (*check_strip(left, plan.strip), *check_plan(left, plan, job, catalog, today))
