"""How long the search for a run takes as obstacles and distance grow, and on the demo.

Run with ``PYTHONPATH=. python tests/bench/bench_runs.py``; prints tables, checks nothing. Times are processor time.
"""

from __future__ import annotations

import math
import random
import sys
import time
from itertools import pairwise
from pathlib import Path
from statistics import median

sys.path.insert(0, str(Path(__file__).parents[1] / "space"))

from route_cases import WORLD, block, guards

from planner.knockon import runs as new_runs
from planner.knockon.asked import asked_by
from planner.knockon.conflicts import rules_for
from planner.knockon.homes import HomeSearch
from planner.knockon.outcome import outcome_of
from planner.model.shapes import Box, Vec
from planner.shelf import list_jobs, load_catalog, load_job, load_vehicle, projects_folder
from planner.space import ClearRun, RunTask, find_run
from planner.space.route_fence import Fence
from planner.space.route_grid import Terms, lattice_of, search

TRIES = 12


def crowd(count: int, far: float, seed: int) -> tuple[list[Box], Vec, Vec]:
    """Boxes scattered about the line between two places, none over an end."""
    rng = random.Random(seed)
    boxes = []
    while len(boxes) < count:
        at = (rng.uniform(60.0, far - 60.0), rng.uniform(-250.0, 250.0), rng.uniform(-250.0, 250.0))
        size = tuple(rng.uniform(10.0, 120.0) for _ in range(3))
        boxes.append(block(at, size, turn=tuple(rng.uniform(-90.0, 90.0) for _ in range(3))))  # type: ignore[arg-type]
    ends: tuple[Vec, Vec] = ((-60.0, 0.0, 0.0), (far + 60.0, 0.0, 0.0))
    return boxes, *ends


def by_obstacles() -> None:
    print("find_run [ms]: median and worst of", TRIES)
    print(f"{'boxes':>6} {'apart':>6} {'median':>8} {'worst':>8} {'found':>6} {'over bound':>11}")
    for far in (400.0, 800.0, 1600.0):
        for count in (5, 20, 80):
            times, over, found = [], [], 0
            for seed in range(TRIES):
                boxes, start, finish = crowd(count, far, seed)
                asked = RunTask(
                    points_mm=(start, finish),
                    across_mm=8.0,
                    bend_mm=25.0,
                    guards=guards(boxes, 6.0),
                    within_mm=WORLD,
                )
                begun = time.process_time()
                run = find_run(asked)
                times.append((time.process_time() - begun) * 1e3)
                if isinstance(run, ClearRun):
                    found += 1
                    over.append(run.length_mm / run.bound_mm)
            print(
                f"{count:>6} {far:>6.0f} {median(times):>8.0f} {max(times):>8.0f} {found:>6} "
                f"{100 * (median(over) - 1):>10.1f}%"
            )


def by_lattice() -> None:
    print("\nlattice and search, 40 boxes, 800 mm apart [ms]")
    print(f"{'step':>5} {'nodes':>8} {'laid':>6} {'search':>7} {'length':>7}")
    boxes, start, finish = crowd(40, 800.0, 3)
    fence = Fence(guards(boxes, 6.0), 8.0, *WORLD)
    for step in (48.0, 32.0, 24.0, 16.0, 12.0):
        begun = time.process_time()
        lattice = lattice_of(fence, (-200.0, -200.0, -200.0), (1000.0, 200.0, 200.0), step)
        laid = time.process_time()
        line = search(lattice, fence, start, finish, Terms(corner_mm=15.0))
        done = time.process_time()
        length = "-" if line is None else f"{sum(math.dist(a, b) for a, b in pairwise(line)):.0f}"
        print(
            f"{step:>5.0f} {len(lattice.places):>8} {(laid - begun) * 1e3:>6.0f} "
            f"{(done - laid) * 1e3:>7.0f} {length:>7}"
        )


def on_the_demo() -> None:
    catalog, _ = load_catalog()
    project = projects_folder() / "trials-car"
    vehicle, _ = load_vehicle(project, catalog)
    assert vehicle is not None
    for name in list_jobs(project):
        job, _ = load_job(project, name, vehicle, catalog)
        assert job is not None
        asked = asked_by(vehicle, job)
        homes = HomeSearch(asked, rules_for(vehicle, asked, catalog), catalog, job.hour_worth)
        out = outcome_of(vehicle, job, catalog, asked, homes, homes.run(10.0))
        begun = time.process_time()
        book = new_runs.runs_for(out)
        spent = (time.process_time() - begun) * 1e3
        print(f"\n{name}: {len(book.runs)} runs, {len(book.stopped)} not found, {spent:.0f} ms")
        for i, run in book.runs.items():
            print(f"  {i:<24} {run.length_mm:>6.0f} mm, bound {run.bound_mm:>6.0f}, {len(run.bends)} bends")


if __name__ == "__main__":
    by_obstacles()
    by_lattice()
    on_the_demo()
