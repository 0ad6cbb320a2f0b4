"""Timings of the least strip-down: `python tests/bench/bench_order.py [seed]` prints a table.

The instances are invented: parts nested behind one another, conditions that hold for groups of tasks, jobs that
want parts off, back for a trial fit, and off again.
"""

from __future__ import annotations

import random
import sys
import time
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1] / "order"))

from worklists import feature, task, toggle, work_list

from planner.model.work import Feature, Task, WorkList
from planner.order import least_strip


def part(name: str, before: list[str], dice: random.Random, *, hard: float) -> Feature:
    """A part behind up to two of the parts outside it, with another way out now and then, and a condition to be
    in."""
    front = dice.sample(before, min(len(before), dice.choice([0, 1, 1, 2])))
    demands = [f"not {f}" for f in front]
    ways = []
    if len(before) > 3 and dice.random() < hard:
        ways = [[f"not {f}" for f in dice.sample(before, dice.choice([1, 2]))] for _ in range(2)]
    state = [f"stands{dice.randrange(2)}"] if dice.random() < 0.3 else []
    off = toggle(
        name,
        False,
        dice.choice([5, 10, 15, 20, 40]),
        hands=dice.choice([1, 1, 1, 2]),
        demands=demands + state,
        ways=ways,
    )
    on = toggle(
        name,
        True,
        dice.choice([5, 10, 20, 30, 60]),
        hands=dice.choice([1, 1, 1, 2]),
        demands=demands + state,
        ways=ways,
    )
    return feature(name, on=on, off=off)


def invented_job(parts: int, seed: int, *, hard: float = 0.3) -> WorkList:
    """A vehicle of so many parts and 1.25 times as many tasks."""
    dice = random.Random(seed * 1000 + parts)
    features: list[Feature] = [
        feature(f"stands{i}", start=False, goal=False, on_min=15 + 5 * i, off_min=10) for i in range(2)
    ]
    names: list[str] = []
    for i in range(parts):
        features.append(part(f"p{i}", names[-8:], dice, hard=hard))
        names.append(f"p{i}")
    tasks: list[Task] = []
    while len(tasks) < parts * 5 // 4:
        host, near = dice.choice(names), dice.choice(names)
        first = len(tasks)
        steps = [
            [f"not {host}"],
            [host] if dice.random() < hard else [f"not {host}", f"not {near}"],
            [f"not {host}", f"stands{dice.randrange(2)}"] if dice.random() < hard else [f"not {near}"],
        ]
        for j, demands in enumerate(steps[: dice.choice([2, 3])]):
            after = [f"t{first + j - 1}"] if j else []
            if not j and tasks and dice.random() < hard:
                after = [dice.choice(tasks).id]
            tasks.append(task(f"t{first + j}", 20, demands=demands, after=after))
    return work_list(features, tasks)


def main() -> None:
    seed = int(sys.argv[1]) if len(sys.argv) > 1 else 1
    print(f"{'parts':>5} {'hard':>5} {'tasks':>5} {'steps':>5} {'cost':>6} {'bound':>6} {'time [s]':>8}  proof")
    for parts in (15, 30, 60, 120):
        for hard in (0.1, 0.3, 0.6):
            work = invented_job(parts, seed, hard=hard)
            begin = time.perf_counter()
            strip = least_strip(work, limit_s=20)
            took = time.perf_counter() - begin
            print(
                f"{parts:5} {hard:5.1f} {len(work.tasks):5} {len(strip.steps):5} {strip.cost:6} {strip.bound:6}"
                f" {took:8.2f}  {strip.proof}"
            )


if __name__ == "__main__":
    main()
