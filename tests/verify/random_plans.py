"""Random plans that are sound by construction.

The plan comes first: a random walk over toggles and tasks, laid out in sessions with random pauses. The rules are
then written round it from the states the walk passed through.
"""

from dataclasses import dataclass, field, replace
from datetime import date, datetime, time, timedelta
from random import Random

from yard import checkpoint, feature, task, toggle

from planner.model.effects import Proof
from planner.model.job import Job, Session
from planner.model.plan import Plan, Slot, Step, Strip
from planner.model.work import After, Buy, Demand, Feature, Task, Toggle, WorkList

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
