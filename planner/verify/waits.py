"""Are waits kept: between tasks, after a task for what it leaves behind to cure, and for goods to arrive."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import date, datetime, time, timedelta

from planner.model.plan import Plan, Slot
from planner.model.work import Task, WorkList
from planner.verify.replay import Stretch, over_before, piece_of
from planner.verify.words import Numbered, clock, named


def wait_faults(work: WorkList, slots: Numbered, stretches: Sequence[Stretch]) -> Iterator[str]:
    """Give a sentence for each step too soon after a task that it follows; one before it is the replay's to tell."""
    by_number = dict(slots)
    ends = _last_ends(slots)
    done = {s.step.ref: s for s in reversed(stretches) if s.step.on is None and s.step.ref in work.tasks}
    keepers = [s for s in done.values() if work.tasks[s.step.ref].keep_min > 0]
    for stretch in stretches:
        slot = by_number[stretch.number]
        piece = piece_of(work, stretch.step)
        for entry in piece.after if isinstance(piece, Task) else ():
            if entry.task in done and over_before(done[entry.task], stretch):
                ready = ends[entry.task] + timedelta(minutes=entry.lag_min)
                asks = f"asks for {entry.lag_min} min of waiting, until {clock(ready)}"
                yield from _too_soon(stretch.number, slot, entry.task, ready, asks)
        for keeper in keepers if stretch.step.on is not None else ():
            task = work.tasks[keeper.step.ref]
            touches = any(demand.feature == stretch.step.ref for demand in task.demands)
            if touches and over_before(keeper, stretch):
                until = ends[task.id] + timedelta(minutes=task.keep_min)
                asks = f"asks that it be left alone until {clock(until)}"
                yield from _too_soon(stretch.number, slot, task.id, until, asks)


def _too_soon(number: int, slot: Slot, task_id: str, ready: datetime, asks: str) -> Iterator[str]:
    if slot.start < ready:
        yield f"{named(number, slot)}: it starts at {clock(slot.start)} and `{task_id}` {asks}"


def _last_ends(slots: Numbered) -> dict[str, datetime]:
    """Give for each task when it is over: at the end of its last part."""
    ends: dict[str, datetime] = {}
    for _, slot in slots:
        if slot.step.on is None:
            ends[slot.step.ref] = max(slot.end, ends.get(slot.step.ref, slot.end))
    return ends


def purchase_faults(work: WorkList, plan: Plan, slots: Numbered, first: date) -> Iterator[str]:
    """Give a sentence for each purchase used before it is here, and each day told wrongly; ordered on day ``first``."""
    here = {buy_id: first + timedelta(days=buy.lead_days) for buy_id, buy in work.buys.items()}
    used: dict[str, date] = {}
    for number, slot in slots:
        piece = piece_of(work, slot.step)
        for buy_id in () if piece is None else piece.purchases:
            if buy_id not in here:
                yield f"{named(number, slot)}: it uses `{buy_id}`, which is not on the buying list"
                continue
            used.setdefault(buy_id, slot.start.date())
            ready = datetime.combine(here[buy_id], time.min) + timedelta(minutes=work.buys[buy_id].from_min)
            if slot.start < ready:
                told = clock(ready) if ready.time() > time.min else str(ready.date())
                yield f"{named(number, slot)}: it uses `{buy_id}`, which arrives on {told}"
    yield from _dates("arrives", "is here", plan.arrives, here)
    latest = {buy_id: day - timedelta(days=work.buys[buy_id].lead_days) for buy_id, day in used.items()}
    yield from _dates("order_by", "must be ordered by", plan.order_by, latest)
    for buy_id in sorted((plan.arrives.keys() | plan.order_by.keys()) - work.buys.keys()):
        yield f"`{buy_id}` has a date and is not on the buying list"
    for buy_id in sorted((plan.order_by.keys() & work.buys.keys()) - used.keys()):
        yield f"`{buy_id}` has a date in order_by and no slot uses it"


def _dates(where: str, verb: str, told: dict[str, date], right: dict[str, date]) -> Iterator[str]:
    for buy_id in sorted(right):
        if buy_id not in told:
            yield f"`{buy_id}` has no date in {where}"
        elif told[buy_id] != right[buy_id]:
            yield f"`{buy_id}` {verb} {right[buy_id]} and the plan says {told[buy_id]}"
