"""What the chances of a plan's dates cost: 10,000 simulated jobs of 100 tasks."""

from __future__ import annotations

import random
import sys
import time
from datetime import date
from datetime import time as clock
from pathlib import Path

import numpy as np

sys.path.insert(0, str(Path(__file__).parents[1] / "order"))

from test_pack import catalog, job
from worklists import task, work_list

from planner.model.job import Repeating
from planner.model.work import WorkList
from planner.order import least_strip, pack
from planner.order.calendar import calendar_of
from planner.order.chance import odds
from planner.order.chance_draw import draw_fails, draw_minutes
from planner.order.chance_model import course_of
from planner.order.chance_run import simulate

TODAY = date(2026, 12, 5)
RUNS, TASKS, REPEATS = 10_000, 100, 5


def a_job(waits: float, seed: int = 7) -> WorkList:
    """Tasks of 10 to 120 min in three rows, each with some more to wait for, a few with a cure."""
    dice = random.Random(seed)
    tasks = []
    for n in range(TASKS):
        after: list[str | tuple[str, int]] = [f"t{n - 3}"] if n >= 3 else []
        after += [
            (f"t{m}", 720 if dice.random() < 0.05 else 0) for m in range(max(0, n - 9), n - 3) if dice.random() < waits
        ]
        tasks.append(task(f"t{n}", dice.randrange(10, 121, 5), hands=2 if dice.random() < 0.1 else 1, after=after))
    return work_list([], tasks)


def weekly(hands: tuple[int, int]) -> tuple[Repeating, ...]:
    evenings = [Repeating(weekday=d, start=clock(18), end=clock(21), hands=hands[0]) for d in (1, 3)]
    return (*evenings, Repeating(weekday=5, start=clock(9), end=clock(17), hands=hands[1]))


def least(what: object, *given: object) -> tuple[float, object]:
    best, found = 1e9, None
    for _ in range(REPEATS):
        begun = time.process_time()
        found = what(*given)  # type: ignore[operator]
        best = min(best, time.process_time() - begun)
    return best, found


def main() -> None:
    print(f"{RUNS:,} runs of {TASKS} tasks, least process time of {REPEATS} [ms]")
    print(f"{'sessions':<28}{'draw':>8}{'simulate':>10}{'together':>10}{'odds()':>9}{'finish':>14}")
    for name, hands in (
        ("2 pairs of hands", (2, 2)),
        ("1 evenings, 2 Saturdays", (1, 2)),
        ("4 pairs of hands", (4, 4)),
    ):
        work = a_job(0.2)
        what = job(weekly=weekly(hands))
        plan = pack(work, least_strip(work), what, catalog(), today=TODAY)
        course = course_of(work, plan, calendar_of(what, catalog(), TODAY))
        drawing, minutes = least(lambda c=course: draw_minutes(c.times, RUNS, np.random.default_rng(7)))
        fails = draw_fails(course.fails, RUNS, np.random.default_rng(7))
        running, _ = least(lambda c=course, m=minutes, f=fails: simulate(c, m, f))
        whole, told = least(lambda w=work, p=plan, j=what: odds(w, p, j, catalog(), today=TODAY, runs=RUNS))
        ms = [1000 * s for s in (drawing, running, drawing + running, whole)]
        print(f"{name:<28}{ms[0]:>8.0f}{ms[1]:>10.0f}{ms[2]:>10.0f}{ms[3]:>9.0f}{told.p50!s:>14}")  # type: ignore[attr-defined]


if __name__ == "__main__":
    main()
