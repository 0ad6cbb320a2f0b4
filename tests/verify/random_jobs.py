"""Random jobs for the planner: written round a plan that is known to be sound, or out of the blue."""

from dataclasses import dataclass, replace
from datetime import timedelta
from random import Random

from random_calendar import FIRST, random_time
from random_plans import Case, random_case
from yard import checkpoint, feature, task, toggle

from planner.model.catalog import Work
from planner.model.job import Job
from planner.model.work import After, Buy, Checkpoint, Demand, Feature, Hold, Task, Toggle, WorkList


@dataclass(frozen=True)
class Ask:
    """What is asked of the planner; ``known`` is a sound plan of it, where there is one."""

    work: WorkList
    job: Job
    known: Case | None = None


def random_ask(seed: int) -> Ask:
    """Half of the jobs have a known plan. Hours and days are worth what they please."""
    rng = Random(f"ask {seed}")
    if rng.random() < 0.5:
        case = random_case(rng, most_features=rng.choice([6, 12]), most_tasks=rng.choice([7, 15]))
        ask = Ask(case.work, case.job, case)
    else:
        ask = Ask(wild_work(rng), random_time(rng, most_hands=3, days=60, longest_min=300).job)
    worth = {"hour_worth": rng.choice([0.0, 5.0, 15.0]), "day_worth": rng.choice([0.0, 1.0, 5.0, 50.0])}
    return replace(ask, job=replace(ask.job, **worth))


def wild_work(rng: Random) -> WorkList:
    """Everything at once and nothing promised: some of these cannot be done at all."""
    names = [f"p{i}" for i in range(rng.randint(2, 12))]
    tasks = [f"t{i}" for i in range(rng.randint(2, 15))]
    buys = {
        f"b{i}": Buy(id=f"b{i}", what="", price=1, lead_days=rng.choice([0, 3, 9, 20]), for_part="") for i in range(3)
    }
    dice = Wild(rng, names, tasks, list(buys))
    features = {n: dice.feature(n) for n in names}
    made = {t: dice.task(i, t) for i, t in enumerate(tasks)}
    made, gates = dice.gates(made)
    shuffled = dict(rng.sample(list(made.items()), len(made)))
    return WorkList(features=features, tasks=shuffled, checkpoints=gates, buys=buys, holds=dice.holds())


@dataclass
class Wild:
    rng: Random
    names: list[str]
    tasks: list[str]
    buys: list[str]

    def __post_init__(self) -> None:
        self.want_share = self.rng.choice([0.05, 0.1, 0.15])
        self.last_share = self.rng.choice([0.0, 0.02, 0.1])
        self.most_hands = self.rng.randint(1, 3)
        self.lone = Random(self.rng.getstate()[1][1])

    def wants(self, own: str, share: float) -> tuple[Demand, ...]:
        asked = [n for n in self.names if n != own and self.rng.random() < share]
        return tuple(
            Demand(feature=n, on=self.rng.random() < 0.6, last=self.rng.random() < self.last_share) for n in asked
        )

    def bought(self) -> tuple[str, ...]:
        return (self.rng.choice(self.buys),) if self.rng.random() < 0.08 else ()

    def toggle(self, name: str, *, on: bool) -> Toggle | None:
        if self.rng.random() < 0.03:
            return None
        ways = tuple(w for w in (self.wants(name, 0.2) for _ in range(self.rng.choice([0, 0, 2, 3]))) if w)
        return toggle(
            name,
            on=on,
            minutes=self.rng.choice([0, 2, 5, 10, 15, 30]),
            hands=self.rng.randint(1, min(2, self.most_hands)),
            demands=self.wants(name, self.want_share / 2),
            ways=ways,
            after=tuple(t for t in self.tasks if self.rng.random() < 0.02),
            purchases=self.bought(),
            dislike_min=self.rng.choice([0] * 12 + [10, 10, 60, 60, None]),
            apart=self.lone.random() < 0.15,
        )

    def feature(self, name: str) -> Feature:
        start = self.rng.random() < 0.6
        goal = self.rng.choice([start, start, start, not start, None])
        up, down = (self.toggle(name, on=on) for on in (True, False))
        return feature(name, start=start, goal=goal, turn_on=up, turn_off=down)

    def task(self, index: int, name: str) -> Task:
        after = [
            After(task=t, lag_min=self.rng.choice([0, 0, 30, 720, 2880]))
            for t in self.tasks[:index]
            if self.rng.random() < 0.12
        ]
        splits = self.rng.random() < 0.3
        return replace(
            task(
                name,
                self.rng.choice([0, 5, 10, 20, 45, 90]) if not splits else self.rng.choice([20, 90, 150, 400]),
                hands=self.rng.randint(1, self.most_hands),
                demands=self.wants("", self.want_share),
                after=tuple(after),
                purchases=self.bought(),
                keep_min=self.rng.choice([0, 0, 0, 60, 1440]),
                splits=splits,
            ),
            work=self.rng.choice([Work.FITTING, Work.CUTTING, Work.TESTING]),
            apart=not splits and self.lone.random() < 0.15,
        )

    def gates(self, made: dict[str, Task]) -> tuple[dict[str, Task], dict[str, Checkpoint]]:
        """Some tasks sign for what holds later ones back, so that no two wait for each other."""
        made, gates = dict(made), {}
        for i, t in enumerate(self.tasks[:-1]):
            if self.rng.random() < 0.15:
                later = self.tasks[i + 1 :]
                gates[f"g-{t}"] = checkpoint(f"g-{t}", *self.rng.sample(later, min(len(later), 2)))
                made[t] = replace(made[t], checkpoint=f"g-{t}")
        return made, gates

    def holds(self) -> dict[str, Hold]:
        found = {}
        for n in range(self.rng.choice([0, 0, 1, 2])):
            days = frozenset(FIRST + timedelta(days=d) for d in self.rng.sample(range(30), self.rng.choice([0, 0, 3])))
            weekdays = frozenset(self.rng.sample(range(7), self.rng.choice([0, 1, 2])))
            found[f"h{n}"] = Hold(id=f"h{n}", title="", demands=self.wants("", 0.15), weekdays=weekdays, days=days)
        return found
