"""Random sound plans pass; the same plans with one rule truly broken do not.

The plan comes first: a random walk over toggles and tasks, laid out in sessions with random pauses. The
rules are then written round it from the states the walk passed through, so the plan is sound by
construction. Each sabotage breaks one of those rules by construction, too.
"""

from collections.abc import Callable
from dataclasses import dataclass, field, replace
from datetime import date, datetime, time, timedelta
from random import Random

import pytest
from yard import catalog, checkpoint, feature, task, toggle

from planner.model.effects import Proof
from planner.model.job import Job, Session
from planner.model.plan import Plan, Slot, Step, Strip
from planner.model.work import After, Buy, Demand, Feature, Task, Toggle, WorkList
from planner.verify import check_plan, check_strip

FIRST = date(2026, 3, 2)
TIDY_MIN = 10

State = dict[str, bool]


@dataclass
class Walk:
    """A random order of work and what was true before each step."""

    steps: list[Step] = field(default_factory=list)
    before: list[State] = field(default_factory=list)

    def places(self, step: Step) -> list[int]:
        return [i for i, other in enumerate(self.steps) if other == step]


def random_walk(rng: Random, start: State, tasks: list[str]) -> Walk:
    walk, state, waiting = Walk(), dict(start), list(tasks)
    while waiting:
        if rng.random() < 0.5:
            name = rng.choice(sorted(state))
            step = Step(ref=name, on=not state[name])
        else:
            step = Step(ref=waiting.pop(rng.randrange(len(waiting))))
        walk.steps.append(step)
        walk.before.append(dict(state))
        if step.on is not None:
            state[step.ref] = step.on
    walk.before.append(state)
    return walk


def some(rng: Random, state: State, *, but: str, most: int = 2) -> tuple[Demand, ...]:
    names = sorted(set(state) - {but})
    return tuple(Demand(feature=n, on=state[n]) for n in rng.sample(names, min(len(names), rng.randint(0, most))))


def common(states: list[State]) -> State:
    return {name: on for name, on in states[0].items() if all(s[name] == on for s in states)}


def random_toggle(rng: Random, walk: Walk, name: str, *, on: bool) -> Toggle | None:
    places = walk.places(Step(ref=name, on=on))
    if not places:
        return rng.choice([None, toggle(name, on=on)])
    states = [walk.before[i] for i in places]
    ways = [some(rng, state, but=name) for state in states] if rng.random() < 0.5 else []
    if ways:
        # One that is shut each time, so that at least one other has to be open.
        shut = {n: not on for n, on in common(states).items() if n != name}
        ways.append(some(rng, shut, but=name))
    done = [step.ref for step in walk.steps[: places[0]] if step.on is None]
    return toggle(
        name,
        on=on,
        minutes=rng.randint(1, 40),
        hands=rng.randint(1, 2),
        demands=some(rng, common(states), but=name),
        ways=tuple(ways),
        after=tuple(rng.sample(done, min(len(done), rng.randint(0, 1)))),
    )


def random_task(rng: Random, walk: Walk, name: str) -> Task:
    [place] = walk.places(Step(ref=name))
    demands = list(some(rng, walk.before[place], but=""))
    later = {step.ref for step in walk.steps[place:] if step.on is not None}
    demands = [replace(d, last=d.feature not in later and rng.random() < 0.5) for d in demands]
    done = [step.ref for step in walk.steps[:place] if step.on is None]
    after = [After(task=t) for t in rng.sample(done, min(len(done), rng.randint(0, 2)))]
    return task(name, rng.randint(0, 40), hands=rng.randint(1, 2), demands=tuple(demands), after=tuple(after))


@dataclass(frozen=True)
class Case:
    work: WorkList
    plan: Plan
    job: Job


def piece(work: WorkList, step: Step) -> Task | Toggle:
    if step.on is None:
        return work.tasks[step.ref]
    found = work.features[step.ref].turn_on if step.on else work.features[step.ref].turn_off
    assert found is not None
    return found


def laid_out(rng: Random, work: WorkList, steps: list[Step]) -> tuple[tuple[Session, ...], tuple[Slot, ...]]:
    sessions: list[Session] = []
    slots: list[Slot] = []
    day = FIRST
    clock = closes = datetime.combine(FIRST, time(0))
    for step in steps:
        needs = piece(work, step)
        if not sessions or clock + timedelta(minutes=needs.minutes) > closes or needs.hands > sessions[-1].hands:
            day += timedelta(days=rng.randint(1, 4))
            hands = rng.randint(needs.hands, 2)
            sessions.append(Session(day=day, start=time(9), end=time(11), hands=hands))
            clock = datetime.combine(day, time(9)) + timedelta(minutes=TIDY_MIN)
            closes = datetime.combine(day, time(11))
        clock += timedelta(minutes=rng.choice([0, 0, 5]))
        if clock + timedelta(minutes=needs.minutes) > closes:
            clock -= timedelta(minutes=5)
        end = clock + timedelta(minutes=needs.minutes)
        slots.append(Slot(step=step, session=len(sessions) - 1, start=clock, end=end))
        clock = end
    return tuple(sessions), tuple(slots)


def with_waits(rng: Random, work: WorkList, slots: tuple[Slot, ...]) -> WorkList:
    """Lags up to the wait there is, and purchases that arrive by their first use."""
    at = {s.step.ref: s for s in slots if s.step.on is None}
    tasks, buys = {}, {}
    for name, old in work.tasks.items():
        gaps = {a.task: int((at[name].start - at[a.task].end).total_seconds()) // 60 for a in old.after}
        after = tuple(After(task=t, lag_min=rng.randint(0, gap)) for t, gap in gaps.items())
        purchases = ()
        if rng.random() < 0.3:
            buy_id = f"buy-{name}"
            days = (at[name].start.date() - FIRST).days
            buys[buy_id] = Buy(id=buy_id, what="", price=1, lead_days=rng.randint(0, days), for_part="")
            purchases = (buy_id,)
        touched = {d.feature for d in old.demands}
        later = [s.start for s in slots if s.step.ref in touched and s.step.on is not None and s.start >= at[name].end]
        left = int((min(later, default=at[name].end) - at[name].end).total_seconds()) // 60
        keep_min = rng.randint(0, left)
        tasks[name] = replace(old, after=after, purchases=purchases, keep_min=keep_min)
    return replace(work, tasks=tasks, buys=buys)


def with_gates(rng: Random, work: WorkList, walk: Walk) -> WorkList:
    order = [step.ref for step in walk.steps if step.on is None]
    tasks, gates = dict(work.tasks), {}
    for i, name in enumerate(order[:-1]):
        if rng.random() < 0.4:
            gate = checkpoint(f"gate-{name}", *rng.sample(order[i + 1 :], 1))
            gates[gate.id] = gate
            tasks[name] = replace(tasks[name], checkpoint=gate.id)
    return replace(work, tasks=tasks, checkpoints=gates)


def random_case(rng: Random) -> Case:
    start = {f"part-{i}": rng.random() < 0.7 for i in range(rng.randint(2, 6))}
    names = [f"task-{i}" for i in range(rng.randint(2, 7))]
    walk = random_walk(rng, start, names)
    features: dict[str, Feature] = {}
    for name, on in start.items():
        goal = rng.choice([walk.before[-1][name], None])
        up, down = (random_toggle(rng, walk, name, on=to) for to in (True, False))
        features[name] = feature(name, start=on, goal=goal, turn_on=up, turn_off=down)
    tasks = {name: random_task(rng, walk, name) for name in names}
    work = with_gates(rng, WorkList(features=features, tasks=tasks, checkpoints={}, buys={}), walk)
    sessions, slots = laid_out(rng, work, walk.steps)
    work = with_waits(rng, work, slots)
    used = {b: s.start.date() for s in reversed(slots) for b in piece(work, s.step).purchases}
    cost = sum(p.minutes * p.hands for s in walk.steps if s.on is not None for p in [piece(work, s)])
    plan = Plan(
        strip=Strip(proof=Proof.FOUND, steps=tuple(walk.steps), cost=cost, bound=0),
        sessions=sessions,
        slots=slots,
        why=(),
        order_by={b: day - timedelta(days=work.buys[b].lead_days) for b, day in used.items()},
        arrives={b: FIRST + timedelta(days=buy.lead_days) for b, buy in work.buys.items()},
        finish=slots[-1].end,
        work_min=sum(p.minutes * p.hands for p in (piece(work, s) for s in walk.steps)),
    )
    return Case(work=work, plan=plan, job=Job(id="j", name="j", changes=(), start=FIRST, sessions=sessions))


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
