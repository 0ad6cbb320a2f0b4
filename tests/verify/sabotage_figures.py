"""Sabotage of lengths and parts, of wishes, and of what a plan says of itself."""

from dataclasses import replace
from datetime import timedelta
from random import Random

from random_plans import Case
from spoil import (
    MINUTE,
    Broken,
    Sabotage,
    change_slots,
    other_slot,
    pick,
    steps_now,
    task_slots,
    with_plan,
    with_task,
    with_toggle,
)

from planner.model.work import Demand, Hold


def wrong_length(rng: Random, case: Case) -> Broken:
    old = rng.choice(case.plan.slots)
    longer = replace(old, end=old.end + MINUTE)
    return steps_now(case, other_slot(case, old, longer)), "and should last"


def part_lost(rng: Random, case: Case) -> Broken:
    gone = pick(rng, [s for s in case.plan.slots if s.parts > 1])
    if gone is None:
        return None
    return steps_now(case, [s for s in case.plan.slots if s is not gone]), f"`{gone.step.ref}`.*and should last"


def part_misnumbered(rng: Random, case: Case) -> Broken:
    old = rng.choice(task_slots(case))
    new = rng.choice([replace(old, part=old.part + 1), replace(old, parts=old.parts + 1)])
    return with_plan(case, slots=tuple(other_slot(case, old, new))), "it is told as part"


def broken_in_two(rng: Random, case: Case) -> Broken:
    """A task is broken off and gone on with in the same session: no task may be, whether it splits or not."""
    old = pick(rng, [s for s in task_slots(case) if s.parts == 1 and s.end - s.start >= 2 * MINUTE])
    if old is None:
        return None
    half = old.start + MINUTE
    two = [replace(old, end=half, parts=2), replace(old, start=half, part=2, parts=2)]
    return steps_now(
        case, [*(s for s in case.plan.slots if s is not old), *two]
    ), f"`{old.step.ref}`.*(may not be split|has a part of it already)"


def may_not_split(rng: Random, case: Case) -> Broken:
    old = pick(rng, [s for s in task_slots(case) if s.parts > 1])
    if old is None:
        return None
    return with_task(case, replace(case.work.tasks[old.step.ref], splits=False)), "may not be split"


def hold_broken(rng: Random, case: Case) -> Broken:
    """A hold asks at the end of one session for the state that a feature is not in."""
    end = pick(rng, [e for e in case.ends if e.state])
    if end is None:
        return None
    name = rng.choice(sorted(end.state))
    asked = {"weekdays": frozenset({end.session.day.weekday()})} if rng.random() < 0.5 else {}
    days = frozenset({end.session.day}) if not asked or rng.random() < 0.5 else frozenset()
    hold = Hold(id="stand", title="", demands=(Demand(feature=name, on=not end.state[name]),), days=days, **asked)
    return replace(case, work=replace(case.work, holds={**case.work.holds, "stand": hold})), "hold `stand`"


def banned_change(rng: Random, case: Case) -> Broken:
    slot = pick(rng, change_slots(case))
    if slot is None:
        return None
    case = with_toggle(case, slot.step, dislike_min=None)
    return steps_now(case, list(case.plan.slots)), "is never to be turned"


def wrong_cost(rng: Random, case: Case) -> Broken:
    cost = case.plan.strip.cost + rng.choice([-1, 1])
    return with_plan(case, strip=replace(case.plan.strip, cost=cost), frontier=()), "of strip-down"


def dislike_left_out(_rng: Random, case: Case) -> Broken:
    """The owner's price on some steps is not told, and not in the cost."""
    strip = case.plan.strip
    if not strip.dislike:
        return None
    cheap = replace(strip, dislike=0, cost=strip.cost - strip.dislike, bound=0)
    return with_plan(case, strip=cheap, frontier=()), "of dislike"


def wrong_work(rng: Random, case: Case) -> Broken:
    return with_plan(case, work_min=case.plan.work_min + rng.choice([-1, 1])), "hand-minutes of work"


def wrong_finish(rng: Random, case: Case) -> Broken:
    assert case.plan.finish is not None
    return with_plan(
        case, finish=case.plan.finish + timedelta(minutes=rng.choice([-1, 1]))
    ), "the plan says it finishes"


def too_soon(_rng: Random, case: Case) -> Broken:
    """The job starts a day after its first slot."""
    day = case.plan.slots[0].start.date() + timedelta(days=1)
    return replace(case, job=replace(case.job, start=day)), "before the first day"


def unknown_step(rng: Random, case: Case) -> Broken:
    old = rng.choice(case.plan.slots)
    slots = tuple(other_slot(case, old, replace(old, step=replace(old.step, ref="polish"))))
    return with_plan(
        case, slots=slots, strip=replace(case.plan.strip, steps=tuple(s.step for s in slots))
    ), "there is no such"


def sooner_than_the_soonest(rng: Random, case: Case) -> Broken:
    assert case.plan.finish is not None
    day = case.plan.finish.date() + timedelta(days=rng.choice([1, 9]))
    return with_plan(case, earliest=day), "none finishes before"


def off_its_frontier(rng: Random, case: Case) -> Broken:
    plan = case.plan
    assert plan.finish is not None
    own = [p for p in plan.frontier if (p.cost, p.finish) == (plan.strip.cost, plan.finish.date())]
    if not own:
        return None
    frontier = tuple(p for p in plan.frontier if p not in own)
    if not frontier:
        frontier = (replace(own[0], finish=own[0].finish + timedelta(days=rng.choice([1, 2]))),)
    return with_plan(case, frontier=frontier), "is no point of its frontier"


def worse_point(rng: Random, case: Case) -> Broken:
    """One more point on the frontier that costs more and is done no sooner."""
    if not case.plan.frontier:
        return None
    last = case.plan.frontier[-1]
    worse = replace(last, cost=last.cost + 1, finish=last.finish + timedelta(days=rng.choice([0, 1])))
    return with_plan(case, frontier=(*case.plan.frontier, worse)), "finishes no sooner than point"


OF_FIGURES: tuple[Sabotage, ...] = (
    wrong_length,
    part_lost,
    part_misnumbered,
    broken_in_two,
    may_not_split,
    hold_broken,
    banned_change,
    wrong_cost,
    dislike_left_out,
    wrong_work,
    wrong_finish,
    too_soon,
    unknown_step,
    sooner_than_the_soonest,
    off_its_frontier,
    worse_point,
)
