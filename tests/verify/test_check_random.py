"""Random sound plans pass; the same plans with one rule truly broken, by construction, do not."""

from collections.abc import Callable
from dataclasses import replace
from datetime import datetime, time, timedelta
from random import Random

import pytest
from random_plans import FIRST, TIDY_MIN, Case, piece, random_case
from yard import catalog, checkpoint

from planner.model.plan import Slot
from planner.model.work import After, Demand, Task, Toggle
from planner.verify import check_plan, check_strip


def told(case: Case) -> tuple[str, ...]:
    said = check_plan(case.work, case.plan, case.job, catalog(TIDY_MIN), FIRST)
    return (*said, *check_strip(case.work, case.plan.strip))


# Each sabotage returns the broken case and the name that must be told, or None when it does not apply.
Broken = tuple[Case, str] | None
Sabotage = Callable[[Random, Case], Broken]


def steps_now(case: Case, slots: list[Slot]) -> Case:
    """The case with other slots, its totals and strip set right again: only the order itself is broken."""
    slots = sorted(slots, key=lambda s: (s.start, s.end))
    steps = tuple(s.step for s in slots)
    pieces = [piece(case.work, s) for s in steps]
    cost = sum(p.minutes * p.hands for p in pieces if isinstance(p, Toggle))
    plan = replace(
        case.plan,
        slots=tuple(slots),
        strip=replace(case.plan.strip, steps=steps, cost=cost),
        finish=max((s.end for s in slots), default=None),
        work_min=sum(p.minutes * p.hands for p in pieces),
    )
    return replace(case, plan=plan)


def with_task(case: Case, new: Task) -> Case:
    return replace(case, work=replace(case.work, tasks={**case.work.tasks, new.id: new}))


def drop_task(rng: Random, case: Case) -> Broken:
    gone = rng.choice([s for s in case.plan.slots if s.step.on is None])
    return steps_now(case, [s for s in case.plan.slots if s is not gone]), gone.step.ref


def double_task(rng: Random, case: Case) -> Broken:
    twice = rng.choice([s for s in case.plan.slots if s.step.on is None])
    return steps_now(case, [*case.plan.slots, twice]), twice.step.ref


def drop_toggle(rng: Random, case: Case) -> Broken:
    """Without it the next one of the feature goes to the state it is in, or the goal is missed."""
    last = {s.step.ref: s for s in case.plan.slots if s.step.on is not None}
    goals = {name: f.goal for name, f in case.work.features.items()}
    could = [
        s
        for s in case.plan.slots
        if s.step.on is not None and (s is not last[s.step.ref] or goals[s.step.ref] is not None)
    ]
    if not could:
        return None
    gone = rng.choice(could)
    return steps_now(case, [s for s in case.plan.slots if s is not gone]), gone.step.ref


def flip_demand(rng: Random, case: Case) -> Broken:
    could = [t for t in case.work.tasks.values() if t.demands]
    if not could:
        return None
    old = rng.choice(could)
    turned = replace(old.demands[0], on=not old.demands[0].on)
    return with_task(case, replace(old, demands=(turned, *old.demands[1:]))), turned.feature


def shut_ways(rng: Random, case: Case) -> Broken:
    could = [s.step for s in case.plan.slots if s.step.on is not None and piece(case.work, s.step).ways]
    if not could:
        return None
    step = rng.choice(could)
    whole = case.work.features[step.ref]
    way = (Demand(feature=step.ref, on=bool(step.on)),)
    changes = {"turn_on" if step.on else "turn_off": replace(piece(case.work, step), ways=(way, way))}
    features = {**case.work.features, step.ref: replace(whole, **changes)}
    return replace(case, work=replace(case.work, features=features)), "no way is open"


def wait_for_later(rng: Random, case: Case) -> Broken:
    order = [s.step.ref for s in case.plan.slots if s.step.on is None]
    i = rng.randrange(len(order) - 1)
    old = case.work.tasks[order[i]]
    return with_task(case, replace(old, after=(*old.after, After(task=order[i + 1])))), order[i + 1]


def gate_too_late(rng: Random, case: Case) -> Broken:
    order = [s.step.ref for s in case.plan.slots if s.step.on is None]
    i = rng.randrange(len(order) - 1)
    signed = replace(case.work.tasks[order[i + 1]], checkpoint="late")
    work = with_task(case, signed).work
    gates = {**work.checkpoints, "late": checkpoint("late", order[i])}
    return replace(case, work=replace(work, checkpoints=gates)), "late"


def hold_too_early(rng: Random, case: Case) -> Broken:
    slots = case.plan.slots
    could = [
        (i, s.step) for i, s in enumerate(slots) if s.step.on is None and any(t.step.on is not None for t in slots[i:])
    ]
    if not could:
        return None
    i, step = rng.choice(could)
    later = next(t.step for t in slots[i:] if t.step.on is not None)
    old = case.work.tasks[step.ref]
    demand = Demand(feature=later.ref, on=not later.on, last=True)
    return with_task(case, replace(old, demands=(demand,))), later.ref


def lengthen_lag(rng: Random, case: Case) -> Broken:
    could = [t for t in case.work.tasks.values() if t.after]
    if not could:
        return None
    old = rng.choice(could)
    at = {s.step.ref: s for s in case.plan.slots if s.step.on is None}
    entry = old.after[0]
    gap = int((at[old.id].start - at[entry.task].end).total_seconds()) // 60
    longer = replace(entry, lag_min=gap + 1)
    return with_task(case, replace(old, after=(longer, *old.after[1:]))), old.id


def touched_in_cure(rng: Random, case: Case) -> Broken:
    slots = case.plan.slots
    could = [
        (done, later)
        for i, done in enumerate(slots)
        for later in slots[i + 1 :]
        if done.step.on is None
        and later.step.on is not None
        and later.step.ref in {d.feature for d in case.work.tasks[done.step.ref].demands}
    ]
    if not could:
        return None
    done, later = rng.choice(could)
    keep_min = int((later.start - done.end).total_seconds()) // 60 + 1
    return with_task(case, replace(case.work.tasks[done.step.ref], keep_min=keep_min)), later.step.ref


def late_parcel(rng: Random, case: Case) -> Broken:
    could = [s for s in case.plan.slots if piece(case.work, s.step).purchases]
    if not could:
        return None
    used = rng.choice(could)
    [buy_id] = piece(case.work, used.step).purchases
    days = (used.start.date() - FIRST).days + 1
    buys = {**case.work.buys, buy_id: replace(case.work.buys[buy_id], lead_days=days)}
    order_by = {**case.plan.order_by, buy_id: FIRST - timedelta(days=1)}
    arrives = {**case.plan.arrives, buy_id: FIRST + timedelta(days=days)}
    plan = replace(case.plan, order_by=order_by, arrives=arrives)
    return replace(case, work=replace(case.work, buys=buys), plan=plan), buy_id


def outside_session(rng: Random, case: Case) -> Broken:
    i = rng.randrange(len(case.plan.slots))
    session = case.plan.slots[i].session
    j = next(j for j, s in enumerate(case.plan.slots) if s.session == session)
    first = case.plan.slots[j]
    by = first.start - datetime.combine(first.start.date(), time(9, TIDY_MIN - 1))
    early = replace(first, start=first.start - by, end=first.end - by)
    slots = list(case.plan.slots)
    slots[j] = early
    return steps_now(case, slots), first.step.ref


def steal_hand(rng: Random, case: Case) -> Broken:
    could = [s for s in case.plan.slots if piece(case.work, s.step).hands == 2]
    if not could:
        return None
    robbed = rng.choice(could)
    sessions = list(case.plan.sessions)
    sessions[robbed.session] = replace(sessions[robbed.session], hands=1)
    job = replace(case.job, sessions=tuple(sessions))
    return Case(work=case.work, plan=replace(case.plan, sessions=tuple(sessions)), job=job), robbed.step.ref


def day_off(rng: Random, case: Case) -> Broken:
    day = rng.choice(case.plan.sessions).day
    return replace(case, job=replace(case.job, days_off=(day,))), str(day)


def overlap(rng: Random, case: Case) -> Broken:
    slots = case.plan.slots
    could = [
        i
        for i in range(1, len(slots))
        if slots[i].start == slots[i - 1].end
        and slots[i - 1].end - slots[i - 1].start >= timedelta(minutes=2)
        and slots[i].end > slots[i].start
    ]
    if not could:
        return None
    i = rng.choice(could)
    by = timedelta(minutes=1)
    early = replace(slots[i], start=slots[i].start - by, end=slots[i].end - by)
    return steps_now(case, [*slots[:i], early, *slots[i + 1 :]]), slots[i].step.ref


def wrong_length(rng: Random, case: Case) -> Broken:
    i = rng.randrange(len(case.plan.slots))
    old = case.plan.slots[i]
    slots = (
        *case.plan.slots[:i],
        replace(old, end=old.end + timedelta(minutes=1)),
        *case.plan.slots[i + 1 :],
    )
    finish = max(s.end for s in slots)
    return replace(case, plan=replace(case.plan, slots=slots, finish=finish)), old.step.ref


def wrong_cost(rng: Random, case: Case) -> Broken:
    strip = replace(case.plan.strip, cost=case.plan.strip.cost + rng.choice([-1, 1]))
    return replace(case, plan=replace(case.plan, strip=strip)), "cost"


def wrong_finish(rng: Random, case: Case) -> Broken:
    assert case.plan.finish is not None
    late = case.plan.finish + timedelta(minutes=rng.choice([-1, 1]))
    return replace(case, plan=replace(case.plan, finish=late)), "finishes"


def too_soon(_rng: Random, case: Case) -> Broken:
    """The job starts a day after its first slot."""
    day = case.plan.slots[0].start.date() + timedelta(days=1)
    return replace(case, job=replace(case.job, start=day)), case.plan.slots[0].step.ref


def unknown_step(rng: Random, case: Case) -> Broken:
    i = rng.randrange(len(case.plan.slots))
    old = case.plan.slots[i]
    new = replace(old, step=replace(old.step, ref="polish"))
    slots = (*case.plan.slots[:i], new, *case.plan.slots[i + 1 :])
    steps = tuple(s.step for s in slots)
    plan = replace(case.plan, slots=slots, strip=replace(case.plan.strip, steps=steps))
    return replace(case, plan=plan), "polish"


SABOTAGES: tuple[Sabotage, ...] = (
    drop_task,
    double_task,
    drop_toggle,
    flip_demand,
    shut_ways,
    wait_for_later,
    gate_too_late,
    hold_too_early,
    lengthen_lag,
    touched_in_cure,
    late_parcel,
    outside_session,
    steal_hand,
    day_off,
    overlap,
    wrong_length,
    wrong_cost,
    wrong_finish,
    too_soon,
    unknown_step,
)


@pytest.mark.parametrize("block", range(10))
def test_random_plans_are_sound_until_one_rule_is_broken(block: int) -> None:
    for seed in range(block * 30, block * 30 + 30):
        rng = Random(seed)
        case = random_case(rng)
        assert told(case) == (), seed
        first = rng.randrange(len(SABOTAGES))
        tried = (SABOTAGES[(first + k) % len(SABOTAGES)](rng, case) for k in range(len(SABOTAGES)))
        broken, name = next(found for found in tried if found is not None)
        said = told(broken)
        assert any(name in sentence for sentence in said), (seed, name, said)


@pytest.mark.parametrize("sabotage", SABOTAGES)
def test_each_sabotage_is_told_by_name(sabotage: Sabotage) -> None:
    caught = 0
    for seed in range(1000, 1040):
        rng = Random(seed)
        broken = sabotage(rng, random_case(rng))
        if broken is None:
            continue
        case, name = broken
        said = told(case)
        assert any(name in sentence for sentence in said), (seed, name, said)
        caught += 1
    assert caught >= 10
