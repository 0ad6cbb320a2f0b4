"""Timings and gaps of dated plans: `python tests/bench/bench_sessions.py [limit_s] [seeds]` prints a table.

The jobs are invented: parts behind one another, conditions, trial fits, cures over night, parcels, long tasks that may
be split; two evenings a week, Saturdays, and a helper on Sundays. `late` is by how many sessions the finish lies after
the bound for the strip-down that was taken, `any` after the bound at any effort; `used` the sessions worked in, `least`
the fewest that are proved. The last rows are the trials car's jobs.
"""

from __future__ import annotations

import random
import sys
import time as clock
from dataclasses import replace
from datetime import date, time
from pathlib import Path

sys.path += [str(Path(__file__).parents[1] / "order"), str(Path(__file__).parents[1]), str(Path(__file__).parent)]

from test_pack import catalog, job
from worklists import feature, task, toggle, work_list

from planner.model.catalog import Catalog
from planner.model.effects import Proof
from planner.model.job import Job, Repeating
from planner.model.work import Buy, Feature, Task, WorkList
from planner.order import scheduled
from planner.order.calendar import calendar_of
from planner.order.schedule_plan import load_of
from planner.order.schedule_search import Budget, Found
from planner.order.schedule_settle import search
from planner.verify.plan import check_plan

TODAY = date(2026, 12, 1)
WEEK = (
    Repeating(weekday=1, start=time(19), end=time(21, 30)),
    Repeating(weekday=3, start=time(19), end=time(21, 30)),
    Repeating(weekday=5, start=time(9), end=time(13)),
    Repeating(weekday=6, start=time(14), end=time(17, 30), hands=2),
)
PARTS = {20: 5, 60: 16, 120: 32, 300: 80}
"""Steps, about, and the parts of the vehicle that give them."""


def vehicle(parts: int, dice: random.Random) -> list[Feature]:
    """Parts behind up to two others, some taken out from under the car, and two conditions."""
    features = [feature(f"stands{i}", start=False, goal=False, on_min=15 + 5 * i, off_min=10) for i in range(2)]
    names: list[str] = []
    for i in range(parts):
        before = [f"not {p}" for p in dice.sample(names[-8:], min(len(names), dice.choice([0, 1, 1, 2])))]
        before += [f"stands{dice.randrange(2)}"] if dice.random() < 0.3 else []
        name, hands = f"p{i}", dice.choice([1, 1, 1, 2])
        off = toggle(name, False, dice.choice([5, 10, 15, 20, 40]), hands=hands, demands=before)
        on = toggle(name, True, dice.choice([5, 10, 20, 30, 60]), hands=hands, demands=before)
        features.append(feature(name, on=on, off=off))
        names.append(name)
    return features


def realistic_job(parts: int, seed: int) -> WorkList:
    """Tasks with parts off, a trial fit, off again; waits, cures, parcels, split tasks, now and then a helper."""
    dice = random.Random(seed * 77 + parts)
    features = vehicle(parts, dice)
    leads = [2, 4, 7, 7, 14, 21]
    buys = [Buy(id=f"b{i}", what=f"part {i}", price=10, lead_days=lead, for_part="") for i, lead in enumerate(leads)]
    tasks: list[Task] = []
    while len(tasks) < parts * 5 // 4:
        host, near = (f"p{dice.randrange(parts)}" for _ in range(2))
        rows = [[f"not {host}"], [host] if dice.random() < 0.3 else [f"not {host}", f"not {near}"], [f"not {near}"]]
        for number, demands in enumerate(rows[: dice.choice([2, 3])]):
            before = [tasks[-1].id] if number else [dice.choice(tasks).id] if tasks and dice.random() < 0.3 else []
            minutes, hands = dice.choice([5, 10, 15, 20, 30, 45, 60, 90]), 2 if dice.random() < 0.08 else 1
            one = task(
                f"t{len(tasks)}",
                minutes,
                hands=hands,
                demands=demands,
                after=[(b, dice.choice([0, 0, 0, 720])) for b in before],
                purchases=[f"b{dice.randrange(6)}"] if dice.random() < 0.1 else [],
            )
            keep_min = 720 if dice.random() < 0.05 else 0
            tasks.append(replace(one, splits=minutes >= 60 and hands == 1, keep_min=keep_min))
    return work_list(features, tasks, buys=buys)


def row(name: str, work: WorkList, what: Job, shelf: Catalog, limit_s: float) -> tuple[bool, int]:
    """Print one line; returns whether the day is proved for its strip-down, and how many sessions late it is."""
    begin, cpu = clock.perf_counter(), clock.process_time()
    plan = scheduled(work, what, shelf, today=TODAY, limit_s=limit_s)
    took, cpu = clock.perf_counter() - begin, clock.process_time() - cpu
    if plan.finish is None:
        print(f"{name:16} {plan.trouble}")
        return False, 99
    calendar = calendar_of(what, shelf, TODAY)
    load = load_of(work, plan.strip, calendar)
    again = Found(net=load.net, style=load.style, leaving=load.leaving, days={})
    search(again, Budget(left_s=limit_s))
    bound = again.bound_day
    day = (plan.finish.date() - calendar.first).days
    any_day = (plan.earliest - calendar.first).days if plan.earliest else 0
    late = sum(bound < b.day <= day for b in calendar.bays)
    late_any = sum(any_day < b.day <= day for b in calendar.bays)
    used = len({s.session for s in plan.slots})
    wrong = len(check_plan(work, plan, what, shelf, TODAY))
    print(
        f"{name:16} {len(plan.slots):5} {plan.finish.date()} {late:4} {late_any:4} {used:5} {again.bound_used:5}"
        f" {'yes' if plan.proof is Proof.PROVED else 'no':>6} {len(plan.frontier):6} {took:7.1f} {cpu:7.1f} {wrong:5}",
        flush=True,
    )
    return plan.proof is Proof.PROVED, late


def main() -> None:
    limit_s = float(sys.argv[1]) if len(sys.argv) > 1 else 10.0
    seeds = int(sys.argv[2]) if len(sys.argv) > 2 else 3
    print(f"{'job':16} steps finish     late  any  used least proved points  wall_s   cpu_s wrong")
    results = []
    for steps, parts in PARTS.items():
        for seed in range(1, seeds + 1):
            work = realistic_job(parts, seed)
            results.append(row(f"{steps} / {seed}", work, job(weekly=WEEK), catalog(15), limit_s))
    if "--no-demo" not in sys.argv:
        import trials  # noqa: PLC0415 - takes a while to load

        for name in ("hung-pedals", "battery-aft"):
            found = trials.answer(name)
            results.append(row(name, found.work, trials.job(name), trials.catalog(), limit_s))
    print(
        f"proved {sum(p for p, _ in results)} of {len(results)}; within one session: {sum(n <= 1 for _, n in results)}"
    )


if __name__ == "__main__":
    main()
