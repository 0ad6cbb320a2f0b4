"""Random plans that are sound by construction.

The plan comes first: a random run of work through random sessions, with several hands at once, tasks laid down and
taken up again, and pauses. While it runs it is written down what stood still during each piece of work. The rules
are then written round it from these notes, so no rule has to be judged to make a case.
"""

from dataclasses import dataclass, field, replace
from datetime import date, datetime, timedelta
from random import Random

from random_calendar import FIRST, TIDY_MIN, random_time
from yard import checkpoint, feature, task, toggle

from planner.model.effects import Proof
from planner.model.job import Job, Session
from planner.model.plan import Plan, Point, Slot, Step, Strip
from planner.model.work import After, Buy, Demand, Feature, Hold, Task, Toggle, WorkList

DAYS = 90
State = dict[str, bool]


@dataclass
class Item:
    """A piece of work as it was done: a task with all its parts, or one change of a feature."""

    step: Step
    minutes: int
    hands: int
    begun: int
    """Count of the event of its begin; ``over`` that of its end."""
    steady: State
    """Features that nothing changed from its begin to its end."""
    done: tuple[str, ...]
    """Tasks that were over when it began."""
    slots: list[Slot] = field(default_factory=list)
    over: int = -1

    @property
    def start(self) -> datetime:
        return self.slots[0].start

    @property
    def end(self) -> datetime:
        return self.slots[-1].end


@dataclass(frozen=True)
class End:
    """How the features stood when a session ended; one in the middle of a change is left out."""

    session: Session
    state: State


@dataclass
class Run:
    """The workshop at work."""

    rng: Random
    sizes: dict[tuple[str, bool | None], tuple[int, int]]
    """Minutes and hands of each task and change."""
    splits: set[str]
    waiting: list[str]
    state: State
    """Settled features."""
    count: int = 0
    items: list[Item] = field(default_factory=list)
    open: list[Item] = field(default_factory=list)
    """Begun and not over: at work, or laid down until a later session."""
    at_work: list[tuple[datetime, Item]] = field(default_factory=list)
    done: list[str] = field(default_factory=list)
    ends: list[End] = field(default_factory=list)

    def tick(self) -> int:
        self.count += 1
        return self.count

    def begin(self, step: Step) -> Item:
        minutes, hands = self.sizes[step.ref, step.on]
        if step.on is not None:
            del self.state[step.ref]
            for other in self.open:
                other.steady.pop(step.ref, None)
        item = Item(step, minutes, hands, self.tick(), dict(self.state), tuple(self.done))
        self.items.append(item)
        self.open.append(item)
        return item

    def finish(self, item: Item) -> None:
        item.over = self.tick()
        self.open.remove(item)
        if item.step.on is None:
            self.done.append(item.step.ref)
        else:
            self.state[item.step.ref] = item.step.on

    def finish_until(self, moment: datetime) -> None:
        for entry in sorted(self.at_work, key=lambda e: e[0]):
            if entry[0] <= moment:
                self.at_work.remove(entry)
                if sum_min(entry[1]) == entry[1].minutes:
                    self.finish(entry[1])

    def candidates(self, number: int, hands: int, left_min: int) -> list[Step]:
        """What could begin, or go on, now in so many minutes."""
        steps = [Step(ref=f, on=not on) for f, on in sorted(self.state.items())] * 2
        steps += [Step(ref=t) for t in self.waiting] * 2
        steps += [i.step for i in self.open if i.slots and i.slots[-1].session < number] * 3
        return [s for s in steps if self.sizes[s.ref, s.on][1] <= hands and self.room_min(s, left_min)]

    def room_min(self, step: Step, left_min: int) -> bool:
        if step.ref in self.splits and step.on is None:
            return left_min >= 1
        return self.sizes[step.ref, step.on][0] <= left_min

    def do(self, step: Step, number: int, at: datetime, left_min: int) -> None:
        item = next((i for i in self.open if i.step == step), None) or self.begin(step)
        if step.on is None and step.ref in self.waiting:
            self.waiting.remove(step.ref)
        rest = item.minutes - sum_min(item)
        lasts = rest
        if step.on is None and step.ref in self.splits and rest:
            most = min(rest, left_min)
            lasts = most if self.rng.random() < 0.3 else self.rng.randint(1, most)
        end = at + timedelta(minutes=lasts)
        item.slots.append(Slot(step=step, session=number, start=at, end=end))
        if end == at:
            self.finish(item)
        else:
            self.at_work.append((end, item))

    def work_through(self, number: int, session: Session, opens: datetime, closes: datetime) -> None:
        now = opens
        while now <= closes and (self.waiting or self.open):
            free = session.hands - sum(i.hands for _, i in self.at_work)
            could = self.candidates(number, free, int((closes - now).total_seconds()) // 60)
            if could and self.rng.random() < 0.8:
                self.do(self.rng.choice(could), number, now, int((closes - now).total_seconds()) // 60)
                continue
            nexts = [end for end, _ in self.at_work] + [now + timedelta(minutes=self.rng.choice([5, 15, 60]))]
            now = min(nexts)
            self.finish_until(now)
        self.finish_until(closes)
        self.ends.append(End(session, dict(self.state)))


def sum_min(item: Item) -> int:
    return sum(int((s.end - s.start).total_seconds()) // 60 for s in item.slots)


def some(rng: Random, state: State, *, but: str = "", most: int = 2) -> tuple[Demand, ...]:
    names = sorted(set(state) - {but})
    return tuple(Demand(feature=n, on=state[n]) for n in rng.sample(names, min(len(names), rng.randint(0, most))))


def common(states: list[State]) -> State:
    return {name: on for name, on in states[0].items() if all(s.get(name) == on for s in states)}


def with_last(rng: Random, run: Run, item: Item, demands: tuple[Demand, ...]) -> tuple[Demand, ...]:
    """Some of the demands asked for good, where nothing changes them later."""
    later = {i.step.ref for i in run.items if i.step.on is not None and i.begun >= item.begun}
    return tuple(replace(d, last=d.feature not in later and rng.random() < 0.4) for d in demands)


def random_toggle(rng: Random, run: Run, name: str, *, on: bool) -> Toggle | None:
    made = [i for i in run.items if i.step == Step(ref=name, on=on)]
    if not made:
        banned = toggle(name, on=on, dislike_min=None)
        return rng.choice([None, toggle(name, on=on), banned])
    steady = common([i.steady for i in made])
    ways = [some(rng, i.steady, but=name) for i in made] if rng.random() < 0.5 else []
    if ways:
        # One that is shut each time, so that at least one other has to be open.
        ways.append(some(rng, {n: not on for n, on in steady.items()}, but=name))
        ways = rng.sample(ways, len(ways))
    minutes, hands = run.sizes[name, on]
    return toggle(
        name,
        on=on,
        minutes=minutes,
        hands=hands,
        demands=with_last(rng, run, made[0], some(rng, steady, but=name)),
        ways=tuple(ways),
        after=tuple(rng.sample(made[0].done, min(len(made[0].done), rng.randint(0, 1)))),
        checks=("each",) if rng.random() < 0.2 else (),
        dislike_min=rng.choice([0, 0, 0, 7, 30]),
    )


def random_task(rng: Random, run: Run, item: Item) -> Task:
    name = item.step.ref
    by_id = {i.step.ref: i for i in run.items if i.step.on is None}
    demands = with_last(rng, run, item, some(rng, item.steady))
    after = []
    for earlier in rng.sample(item.done, min(len(item.done), rng.randint(0, 2))):
        gap_min = int((item.start - by_id[earlier].end).total_seconds()) // 60
        after.append(After(task=earlier, lag_min=rng.choice([0, rng.randint(0, gap_min)])))
    touched = {d.feature for d in demands}
    later = [i.start for i in run.items if i.step.on is not None and i.step.ref in touched and i.begun > item.over]
    left_min = int((min(later, default=item.end) - item.end).total_seconds()) // 60
    return task(
        name,
        item.minutes,
        hands=item.hands,
        demands=demands,
        after=tuple(after),
        keep_min=rng.randint(0, left_min),
        splits=name in run.splits,
    )


@dataclass(frozen=True)
class Case:
    work: WorkList
    plan: Plan
    job: Job
    ends: tuple[End, ...] = ()
    """How the features stood at the end of the sessions after the plan's first step and before its last."""


def piece(work: WorkList, step: Step) -> Task | Toggle:
    if step.on is None:
        return work.tasks[step.ref]
    found = work.features[step.ref].turn_on if step.on else work.features[step.ref].turn_off
    assert found is not None
    return found


def whole_steps(slots: tuple[Slot, ...]) -> tuple[Step, ...]:
    """The steps, each split task once."""
    return tuple(s.step for s in slots if s.part == 1)


def with_buys(rng: Random, work: WorkList, items: list[Item]) -> WorkList:
    """Purchases that arrive by their first use, of tasks and of changes that are made once."""
    tasks, features, buys = dict(work.tasks), dict(work.features), {}
    for item in items:
        ref, on = item.step.ref, item.step.on
        if rng.random() >= 0.2 or sum(i.step == item.step for i in items) > 1:
            continue
        days = (item.start.date() - FIRST).days
        buy = Buy(id=f"buy-{len(buys)}", what="", price=1, lead_days=rng.randint(0, days), for_part="")
        buys[buy.id] = buy
        if on is None:
            tasks[ref] = replace(tasks[ref], purchases=(buy.id,))
        else:
            made = replace(piece(work, item.step), purchases=(buy.id,))
            features[ref] = replace(features[ref], **{"turn_on" if on else "turn_off": made})
    if rng.random() < 0.3:
        buys["spare"] = Buy(id="spare", what="", price=1, lead_days=3, for_part="")
    return replace(work, tasks=tasks, features=features, buys=buys)


def with_gates(rng: Random, work: WorkList, items: list[Item]) -> WorkList:
    tasks, gates = dict(work.tasks), {"each": checkpoint("each", each_time=True)}
    for item in items:
        if item.step.on is None and item.done and rng.random() < 0.5:
            signer = rng.choice(item.done)
            if tasks[signer].checkpoint is None:
                gates[f"gate-{signer}"] = checkpoint(f"gate-{signer}", item.step.ref)
                tasks[signer] = replace(tasks[signer], checkpoint=f"gate-{signer}")
    return replace(work, tasks=tasks, checkpoints=gates)


def with_holds(rng: Random, work: WorkList, ends: tuple[End, ...]) -> WorkList:
    """Holds of every session, of weekdays, of days; each asks for what was so at all the ends it is asked of."""
    holds = {}
    for n in range(rng.randint(0, 3)):
        days = sorted({e.session.day for e in ends})
        weekdays = frozenset(rng.sample(range(7), rng.choice([0, 1, 3])))
        dates = frozenset(rng.sample(days, min(len(days), rng.choice([0, 1, 2]))))
        asks_all = not weekdays and not dates
        asked = [e.state for e in ends if asks_all or e.session.day in dates or e.session.day.weekday() in weekdays]
        demands = some(rng, common(asked) if asked else dict.fromkeys(work.features, True), most=3)
        holds[f"hold-{n}"] = Hold(id=f"hold-{n}", title="", demands=demands, weekdays=weekdays, days=dates)
    return replace(work, holds=holds)


def numbered_slots(items: list[Item]) -> tuple[Slot, ...]:
    slots = []
    for item in items:
        for part, slot in enumerate(item.slots, start=1):
            slots.append((slot.start, slot.end, item.begun, replace(slot, part=part, parts=len(item.slots))))
    return tuple(slot for *_, slot in sorted(slots, key=lambda entry: entry[:3]))


def random_run(rng: Random, most_features: int, most_tasks: int) -> tuple[Run, Job, tuple[Session, ...]]:
    """Work through random sessions until every task is done; some shut down early, some are never used."""
    most_hands = rng.randint(1, 3)
    names = [f"part-{i}" for i in range(rng.randint(2, most_features))]
    tasks = [f"task-{i}" for i in range(rng.randint(2, most_tasks))]
    sizes: dict[tuple[str, bool | None], tuple[int, int]] = {}
    for name in names:
        for on in (True, False):
            sizes[name, on] = (rng.choice([0, *range(1, 41)]), rng.randint(1, min(2, most_hands)))
    for name in tasks:
        sizes[name, None] = (rng.choice([0, *range(1, 41), 120]), rng.randint(1, most_hands))
    splits = {t for t in tasks if sizes[t, None][0] > 1 and rng.random() < 0.4}
    splits |= {t for t in tasks if sizes[t, None][0] == 120}
    run = Run(rng, sizes, splits, list(tasks), {n: rng.random() < 0.7 for n in names})
    time_there_is = random_time(rng, most_hands=most_hands, days=DAYS)
    # As setting up or putting away eats into it, the helper's day comes often enough to finish everything.
    for number, session in enumerate(time_there_is.sessions):
        setup_min = TIDY_MIN if time_there_is.job.setup_min is None else time_there_is.job.setup_min
        opens = datetime.combine(session.day, session.start) + timedelta(minutes=setup_min)
        closes = datetime.combine(session.day, session.end) - timedelta(minutes=time_there_is.job.tidy_min)
        if rng.random() < 0.8:
            run.work_through(number, session, opens, closes)
        else:
            run.ends.append(End(session, dict(run.state)))
    return run, time_there_is.job, time_there_is.sessions


def random_frontier(rng: Random, cost: int, finish: date, sessions: int, bound: int) -> tuple[Point, ...]:
    own = Point(cost=cost, finish=finish, sessions=sessions, proved=rng.random() < 0.5)
    points = [own]
    if cost > bound and rng.random() < 0.5:
        less = rng.randint(bound, cost - 1)
        points.insert(0, Point(cost=less, finish=finish + timedelta(days=3), sessions=9, proved=True))
    if rng.random() < 0.5:
        points.append(Point(cost=cost + 5, finish=finish - timedelta(days=1), sessions=4, proved=False))
    return tuple(points) if rng.random() < 0.8 else ()


def random_case(rng: Random, *, most_features: int = 6, most_tasks: int = 7) -> Case:
    run, job, sessions = random_run(rng, most_features, most_tasks)
    while run.waiting or run.open:
        run, job, sessions = random_run(rng, most_features, most_tasks)
    start = dict(run.state)
    for item in reversed([i for i in run.items if i.step.on is not None]):
        start[item.step.ref] = not item.step.on
    features: dict[str, Feature] = {}
    for name, on in start.items():
        up, down = (random_toggle(rng, run, name, on=to) for to in (True, False))
        goal = rng.choice([run.state[name], None])
        features[name] = feature(name, start=on, goal=goal, turn_on=up, turn_off=down)
    tasks = {i.step.ref: random_task(rng, run, i) for i in run.items if i.step.on is None}
    work = WorkList(features=features, tasks=tasks, checkpoints={}, buys={})
    work = with_buys(rng, with_gates(rng, work, run.items), run.items)
    slots = numbered_slots(run.items)
    work = with_stays(rng, work, slots, sessions, job.tidy_min)
    ends = ends_between(run.ends, slots)
    work = with_holds(rng, work, ends)
    return Case(work=work, plan=plan_of(rng, work, slots, sessions), job=job, ends=ends)


def with_stays(
    rng: Random, work: WorkList, slots: tuple[Slot, ...], sessions: tuple[Session, ...], tidy_min: int
) -> WorkList:
    """Some tasks leave as much of their sessions as they do, at the most."""
    spare: dict[str, int] = {}
    for slot in (s for s in slots if s.step.on is None):
        session = sessions[slot.session]
        closes = datetime.combine(session.day, session.end) - timedelta(minutes=tidy_min)
        left_min = int((closes - slot.end).total_seconds()) // 60
        spare[slot.step.ref] = min(left_min, spare.get(slot.step.ref, left_min))
    stays = {name: rng.choice([0, left_min, rng.randint(0, left_min)]) for name, left_min in spare.items()}
    return replace(work, tasks={i: replace(t, stay_min=stays.get(i, 0)) for i, t in work.tasks.items()})


def ends_between(ends: list[End], slots: tuple[Slot, ...]) -> tuple[End, ...]:
    first, last = slots[0].start, max(s.end for s in slots)
    between = [e for e in ends if first <= datetime.combine(e.session.day, e.session.end) <= last]
    # At the end that the last step reaches to the minute all is done; before a first step at that minute nothing is.
    return tuple(
        e
        for e in between
        if datetime.combine(e.session.day, e.session.end) < last
        and (first.date(), first.time()) != (e.session.day, e.session.end)
    )


def plan_of(rng: Random, work: WorkList, slots: tuple[Slot, ...], sessions: tuple[Session, ...]) -> Plan:
    steps = whole_steps(slots)
    pieces = [piece(work, s) for s in steps]
    dislike = sum(p.dislike_min or 0 for p in pieces if isinstance(p, Toggle))
    cost = dislike + sum(p.minutes * p.hands for p in pieces if isinstance(p, Toggle))
    bound = rng.randint(0, cost)
    finish = max(s.end for s in slots)
    used = {b: s.start.date() for s in reversed(slots) for b in piece(work, s.step).purchases}
    worked = len({s.session for s in slots})
    frontier = random_frontier(rng, cost, finish.date(), worked, bound)
    earliest = min([finish.date(), *(p.finish for p in frontier)]) - timedelta(days=rng.choice([0, 0, 5]))
    return Plan(
        strip=Strip(proof=Proof.FOUND, steps=steps, cost=cost, bound=bound, dislike=dislike),
        sessions=sessions[: 1 + max(s.session for s in slots)],
        slots=slots,
        why=(),
        order_by={b: day - timedelta(days=work.buys[b].lead_days) for b, day in used.items()},
        arrives={b: FIRST + timedelta(days=buy.lead_days) for b, buy in work.buys.items()},
        finish=finish,
        work_min=sum(p.minutes * p.hands for p in pieces),
        earliest=rng.choice([None, earliest]),
        frontier=frontier,
    )
