"""Small random jobs of everything at once, on a clock of half hours."""

from __future__ import annotations

import random
from dataclasses import replace
from datetime import date, datetime, time, timedelta

from worklists import feature, need, task, toggle, work_list

from planner.model.job import Session
from planner.model.work import Buy, Hold, Task, Toggle, WorkList

FIRST = date(2026, 12, 5)
"""A Saturday."""


def random_case(seed: int) -> tuple[WorkList, list[Session], random.Random]:
    """Up to three features and three tasks with waits, cures, stays, parcels, splits, two pairs of hands and holds."""
    dice = random.Random(seed)
    names = [f"p{i}" for i in range(dice.randint(1, 3))]
    tasks = [f"t{i}" for i in range(dice.randint(1, 3))]

    def wants(own: str | None, share: float) -> list[str]:
        others = [name for name in names if name != own and dice.random() < share]
        return [("" if dice.random() < 0.5 else "not ") + n + ("!" if dice.random() < 0.08 else "") for n in others]

    def some_toggle(name: str, on: bool) -> Toggle:
        ways = [w for w in (wants(name, 0.5) for _ in range(dice.choice([0, 0, 0, 2]))) if w]
        return toggle(
            name,
            on,
            dice.choice([30, 30, 60]),
            hands=dice.choice([1, 1, 1, 2]),
            demands=wants(name, 0.2),
            ways=ways,
            after=[t for t in tasks if dice.random() < 0.05],
            purchases=["kit"] if dice.random() < 0.1 else [],
        )

    features = []
    for name in names:
        start = dice.random() < 0.6
        goal = dice.choice([start, start, start, not start, None])
        features.append(feature(name, start=start, goal=goal, on=some_toggle(name, True), off=some_toggle(name, False)))
    # Dice of their own: the cases are those they were before anything could be apart, or be stayed by.
    lone, stays = random.Random(f"apart {seed}"), random.Random(f"stays {seed}")
    made: list[Task] = []
    for i, name in enumerate(tasks):
        one = task(
            name,
            dice.choice([30, 60, 90]),
            hands=dice.choice([1, 1, 1, 2]),
            demands=wants(None, 0.4),
            after=[(a, dice.choice([0, 0, 30, 600, 1500])) for a in tasks[:i] if dice.random() < 0.3],
            purchases=["kit"] if dice.random() < 0.25 else [],
        )
        apart = lone.random() < 0.2
        kept_min, splits = dice.choice([0, 0, 0, 120, 720]), dice.random() < 0.3
        # Every other case is as it was, for what it shows of other things.
        stay_min = stays.choice([0, 30]) if seed % 2 else 0
        made.append(replace(one, keep_min=kept_min, splits=splits, apart=apart, stay_min=stay_min))
    features = [
        replace(
            f,
            turn_on=replace(f.turn_on, apart=lone.random() < 0.2),
            turn_off=replace(f.turn_off, apart=lone.random() < 0.2),
        )
        for f in features
        if f.turn_on is not None and f.turn_off is not None
    ]
    dice.shuffle(made)
    kit = Buy(id="kit", what="kit", price=1, lead_days=dice.choice([0, 1, 2, 3]), for_part="")
    work = work_list(features, made, buys=[kit])
    if dice.random() < 0.5:
        asked = [need(("" if dice.random() < 0.5 else "not ") + name) for name in names if dice.random() < 0.6]
        if asked:
            weekdays = frozenset(dice.choice([(), (5,), (6,), (0, 5)]))
            hold = Hold(id="hold", title="for the night", demands=tuple(asked), weekdays=weekdays)
            work = replace(work, holds={"hold": hold})
    return work, some_sessions(dice), dice


def some_sessions(dice: random.Random) -> list[Session]:
    """Three to six sessions of an hour to two hours."""
    day, sessions = FIRST, []
    for _ in range(dice.randint(3, 6)):
        halves, start = dice.choice([2, 3, 4]), time(dice.choice([9, 14]))
        end = (datetime.combine(day, start) + timedelta(minutes=30 * halves)).time()
        sessions.append(Session(day=day, start=start, end=end, hands=dice.choice([1, 1, 2])))
        day += timedelta(days=dice.choice([1, 1, 2]))
    return sessions
