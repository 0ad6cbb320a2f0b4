"""What the scheduling engine is checked against: a checker, an exhaustive search, and random projects.

They read the project only, second by second, and share nothing with the engine.
"""

from __future__ import annotations

import random

from planner.order.project import Activity, Project, Taken


def in_use(project: Project, starts: tuple[int, ...], resource: int, time: int) -> int:
    return sum(a.uses[resource] for a, s in zip(project.activities, starts, strict=True) if s <= time < s + a.duration)


def on_offer(project: Project, resource: int, time: int) -> int:
    taken = sum(t.amount for t in project.taken if t.resource == resource and t.begin <= time < t.end)
    return max(project.capacity[resource] - taken, 0)


def faults(project: Project, starts: tuple[int, ...]) -> list[str]:
    """Everything wrong with a schedule; a resource is looked at whenever something starts or a block begins or ends."""
    told = []
    if len(starts) != len(project.activities):
        return ["not one start an activity"]
    for k, (a, s) in enumerate(zip(project.activities, starts, strict=True)):
        if s < 0 or s + a.duration > project.horizon:
            told.append(f"{k} is not between 0 and the horizon")
        if a.windows is not None and not any(b <= s <= e for b, e in a.windows):
            told.append(f"{k} starts outside its windows")
        told += [
            f"{k} does not wait for {i}"
            for i, lag in a.before.items()
            if s < starts[i] + project.activities[i].duration + lag
        ]
    for r in range(len(project.capacity)):
        for t in {*starts, *(t for block in project.taken for t in (block.begin, block.end))}:
            used = in_use(project, starts, r, t)
            if used and used > on_offer(project, r, t):
                told.append(f"too much of {r} at {t}")
    return told


def finish_of(project: Project, starts: tuple[int, ...]) -> int:
    return max((s + a.duration for a, s in zip(project.activities, starts, strict=True)), default=0)


def least_finish(project: Project) -> int | None:
    """The least finish by trying all starts for each finish from 0 to the horizon; None when there is none."""
    for finish in range(project.horizon + 1):
        if _some_starts(project, finish):
            return finish
    return None


def _some_starts(project: Project, finish: int) -> bool:
    levels = [[on_offer(project, r, t) for t in range(finish)] for r in range(len(project.capacity))]
    starts: dict[int, int] = {}

    def placed(k: int) -> bool:
        if k == len(project.activities):
            return True
        a = project.activities[k]
        first = max((starts[i] + project.activities[i].duration + lag for i, lag in a.before.items()), default=0)
        for s in range(first, finish - a.duration + 1):
            if a.windows is not None and not any(b <= s <= e for b, e in a.windows):
                continue
            span = range(s, s + a.duration)
            if any(u and levels[r][t] < u for r, u in enumerate(a.uses) for t in span):
                continue
            for r, u in enumerate(a.uses):
                for t in span:
                    levels[r][t] -= u
            starts[k] = s
            if placed(k + 1):
                return True
            del starts[k]
            for r, u in enumerate(a.uses):
                for t in span:
                    levels[r][t] += u
        return False

    return placed(0)


def random_windows(dice: random.Random, horizon: int) -> tuple[tuple[int, int], ...] | None:
    if dice.random() < 0.5:
        return None
    cuts = sorted(dice.sample(range(horizon + 1), dice.choice([2, 2, 4, 6]) if horizon > 6 else 2))
    return tuple((b, e) for b, e in zip(cuts[::2], cuts[1::2], strict=True))


def random_project(dice: random.Random, most: int, horizon: int, longest: int, *, tight: float = 0.5) -> Project:
    """Up to ``most`` activities, each waiting only for earlier ones; ``tight``: the odds that one uses a resource."""
    capacity = tuple(dice.randint(1, 4) for _ in range(dice.randint(0, 3)))
    activities = []
    for k in range(dice.randint(0, most)):
        before = dice.sample(range(k), min(k, dice.choice([0, 0, 1, 1, 2])))
        activities.append(
            Activity(
                duration=dice.randint(0, longest),
                uses=tuple(dice.randint(1, c) if dice.random() < tight else 0 for c in capacity),
                before={i: dice.choice([0, 0, 0, 1, longest]) for i in before},
                windows=random_windows(dice, horizon),
            )
        )
    taken = []
    for _ in range(dice.choice([0, 0, 1, 2, 3]) if capacity else 0):
        r = dice.randrange(len(capacity))
        begin = dice.randrange(horizon)
        end = begin + dice.randint(1, max(horizon // 3, 1))
        taken.append(Taken(resource=r, begin=begin, end=end, amount=dice.randint(1, capacity[r] + 1)))
    return Project(activities=tuple(activities), capacity=capacity, horizon=horizon, taken=tuple(taken))


def shuffled(project: Project, dice: random.Random) -> tuple[Project, list[int]]:
    """The same project with its activities in another order; also the new place of each."""
    order = list(range(len(project.activities)))
    dice.shuffle(order)
    place = {a: k for k, a in enumerate(order)}
    activities = tuple(
        Activity(duration=a.duration, uses=a.uses, windows=a.windows, before={place[i]: x for i, x in a.before.items()})
        for a in (project.activities[k] for k in order)
    )
    moved = Project(activities=activities, capacity=project.capacity, horizon=project.horizon, taken=project.taken)
    return moved, [place[k] for k in range(len(order))]
