"""Sabotage of what must be so while a step is done, and of what comes before what."""

from dataclasses import replace
from itertools import pairwise
from random import Random

from random_plans import Case, piece
from spoil import (
    MINUTE,
    Broken,
    Sabotage,
    begins,
    change_slots,
    ends,
    moved_to,
    other_slot,
    pick,
    steps_now,
    task_slots,
    with_task,
    with_toggle,
)
from yard import checkpoint

from planner.model.plan import Slot
from planner.model.work import After, Demand


def drop_task(rng: Random, case: Case) -> Broken:
    gone = rng.choice(task_slots(case)).step
    return steps_now(case, [s for s in case.plan.slots if s.step != gone]), f"task `{gone.ref}` is never done"


def double_task(rng: Random, case: Case) -> Broken:
    twice = rng.choice(task_slots(case))
    return steps_now(case, [*case.plan.slots, twice]), "it was done already|has a part of it already"


def drop_toggle(rng: Random, case: Case) -> Broken:
    """Without it the next one of the feature goes to the state it is in, or the goal is missed."""
    last = {s.step.ref: s for s in change_slots(case)}
    goals = {name: f.goal for name, f in case.work.features.items()}
    gone = pick(
        rng,
        [s for s in change_slots(case) if s is not last[s.step.ref] or goals[s.step.ref] is not None],
    )
    if gone is None:
        return None
    return steps_now(case, [s for s in case.plan.slots if s is not gone]), "already|at the end"


def flip_demand(rng: Random, case: Case) -> Broken:
    old = pick(rng, [t for t in case.work.tasks.values() if t.demands])
    if old is None:
        return None
    turned = replace(old.demands[0], on=not old.demands[0].on)
    return with_task(case, replace(old, demands=(turned, *old.demands[1:]))), f"`{turned.feature}` must be"


def flip_toggle_demand(rng: Random, case: Case) -> Broken:
    slot = pick(rng, [s for s in change_slots(case) if piece(case.work, s.step).demands])
    if slot is None:
        return None
    first, *rest = piece(case.work, slot.step).demands
    return with_toggle(case, slot.step, demands=(replace(first, on=not first.on), *rest)), f"`{first.feature}` must be"


def toggle_during_task(rng: Random, case: Case) -> Broken:
    """A change is moved into the middle of a task that demands the feature."""
    pairs = [
        (s, t)
        for t in task_slots(case)
        for s in change_slots(case)
        if t.end - t.start >= 2 * MINUTE and s.step.ref in {d.feature for d in case.work.tasks[t.step.ref].demands}
    ]
    found = pick(rng, pairs)
    if found is None:
        return None
    change, task = found
    moved = replace(moved_to(change, task.start + MINUTE), session=task.session)
    return steps_now(case, other_slot(case, change, moved)), f"`{change.step.ref}` must be .* changes it meanwhile"


def toggle_between_parts(rng: Random, case: Case) -> Broken:
    """A task that was laid down while a feature changed demands that feature."""
    first, last = begins(case), ends(case)
    pairs = [
        (s, t)
        for t in case.work.tasks.values()
        for s in change_slots(case)
        if t.splits and first[t.id] < s.start and s.end < last[t.id]
    ]
    found = pick(rng, pairs)
    if found is None:
        return None
    change, task = found
    demands = (Demand(feature=change.step.ref, on=rng.random() < 0.5),)
    return with_task(case, replace(task, demands=demands)), f"`{change.step.ref}` must be .* changes it meanwhile"


def two_changes_at_once(rng: Random, case: Case) -> Broken:
    by_feature: dict[str, list[Slot]] = {}
    for s in change_slots(case):
        by_feature.setdefault(s.step.ref, []).append(s)
    pairs = [(a, b) for found in by_feature.values() for a, b in pairwise(found) if a.end - a.start >= 2 * MINUTE]
    found = pick(rng, pairs)
    if found is None:
        return None
    first, second = found
    moved = replace(moved_to(second, first.start + MINUTE), session=first.session)
    return steps_now(case, other_slot(case, second, moved)), f"`{second.step.ref}` .*it overlaps slot"


def shut_ways(rng: Random, case: Case) -> Broken:
    slot = pick(rng, [s for s in change_slots(case) if piece(case.work, s.step).ways])
    if slot is None:
        return None
    way = (Demand(feature=slot.step.ref, on=bool(slot.step.on)),)
    return with_toggle(case, slot.step, ways=(way, way)), "no way is open"


def way_lost_half_way(rng: Random, case: Case) -> Broken:
    """The only way in rests on a feature that another pair of hands changes meanwhile."""
    pairs = [
        (s, other)
        for s in change_slots(case)
        for other in change_slots(case)
        if s.step.ref != other.step.ref and s.start < other.start < s.end
    ]
    found = pick(rng, pairs)
    if found is None:
        return None
    slot, other = found
    ways = ((Demand(feature=other.step.ref, on=not other.step.on),), (Demand(feature=slot.step.ref, on=slot.step.on),))
    return with_toggle(case, slot.step, ways=ways), "no way is open"


def wait_for_later(rng: Random, case: Case) -> Broken:
    first, last = begins(case), ends(case)
    pairs = [(a, b) for a in case.work.tasks for b in case.work.tasks if a != b and first[a] < last[b]]
    found = pick(rng, pairs)
    if found is None:
        return None
    early, late = found
    old = case.work.tasks[early]
    return with_task(case, replace(old, after=(*old.after, After(task=late)))), f"task `{late}` must be done first"


def toggle_too_early(rng: Random, case: Case) -> Broken:
    last = ends(case)
    found = pick(rng, [(s, t) for s in change_slots(case) for t, end in last.items() if s.start < end])
    if found is None:
        return None
    slot, late = found
    return with_toggle(case, slot.step, after=(late,)), f"task `{late}` must be done first"


def gate_too_late(rng: Random, case: Case) -> Broken:
    """A step that a checkpoint blocks begins before the check is over."""
    first, last = begins(case), ends(case)
    pairs = [(a, b) for a in case.work.tasks for b in case.work.tasks if a != b and first[a] < last[b]]
    found = pick(rng, pairs)
    if found is None:
        return None
    early, signer = found
    work = with_task(case, replace(case.work.tasks[signer], checkpoint="late")).work
    return replace(
        case, work=replace(work, checkpoints={**work.checkpoints, "late": checkpoint("late", early)})
    ), f"checkpoint `late` blocks it and its task `{signer}` is not done"


def nobody_signs(rng: Random, case: Case) -> Broken:
    """The check itself is left out, of the work and of the plan; its checkpoint stands."""
    blocked = {b for g in case.work.checkpoints.values() for b in g.blocked}
    signer = pick(rng, [t for t in case.work.tasks.values() if t.checkpoint and t.id not in blocked])
    if signer is None:
        return None
    case = with_task(case, replace(signer, checkpoint=None))
    return case, f"checkpoint `{signer.checkpoint}` blocks it and no task signs"


def check_dropped(rng: Random, case: Case) -> Broken:
    """A check that is made each time is no longer among the checkpoints."""
    slot = pick(rng, [s for s in change_slots(case) if piece(case.work, s.step).checks])
    if slot is None:
        return None
    gates = {g: c for g, c in case.work.checkpoints.items() if g != "each"}
    return replace(case, work=replace(case.work, checkpoints=gates)), "check `each` is not among"


def changed_after_for_good(rng: Random, case: Case) -> Broken:
    """A task asks that a feature be left alone for good, and it changes after."""
    last = ends(case)
    pairs = [(t, s) for t in case.work.tasks.values() for s in change_slots(case) if s.start > last[t.id]]
    found = pick(rng, pairs)
    if found is None:
        return None
    task, later = found
    demands = (Demand(feature=later.step.ref, on=rng.random() < 0.5, last=True),)
    return with_task(case, replace(task, demands=demands)), f"`{later.step.ref}` .* may not change again after"


OF_STATES: tuple[Sabotage, ...] = (
    drop_task,
    double_task,
    drop_toggle,
    flip_demand,
    flip_toggle_demand,
    toggle_during_task,
    toggle_between_parts,
    two_changes_at_once,
    shut_ways,
    way_lost_half_way,
    wait_for_later,
    toggle_too_early,
    gate_too_late,
    nobody_signs,
    check_dropped,
    changed_after_for_good,
)
