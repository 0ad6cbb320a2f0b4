"""Timings of the choice of homes: `PYTHONPATH=. python tests/bench/bench_homes.py [cases] [most]` prints a table.

The vehicles are invented: parts in a lattice of cells on one frame, each free one with a mounting space of its own,
and a job that puts up to ten new parts where others stand. "grid" is the proof over the homes on the grid, "all" the
whole answer with homes in contact, both in seconds of the processor (all of it is one thread's work, and a busy machine
does not count), the median of the cases that have an answer; "over" says how many took longer than the limit.
"""

from __future__ import annotations

import resource
import sys
import time
from dataclasses import dataclass
from pathlib import Path
from statistics import median

sys.path.insert(0, str(Path(__file__).parents[1]))

from crowded_vehicles import DENSE, PLAIN, Sort, crowded
from garage import catalog

from planner.knockon.arrangement import Arrangement
from planner.knockon.asked import asked_by
from planner.knockon.conflicts import rules_for
from planner.knockon.homes import HomeSearch
from planner.knockon.options import Sort as Fate
from planner.knockon.slide import slid
from planner.model.effects import Proof

LIMIT_S = 10.0


@dataclass
class Timed:
    """One case."""

    grid_s: float
    all_s: float
    grid: Arrangement
    answer: Arrangement

    @property
    def moved(self) -> int:
        return sum(1 for o in self.answer.chosen.values() if o.sort not in {Fate.STAY, Fate.FOLLOW})

    @property
    def gap(self) -> float:
        return 0.0 if not self.answer.cost else 1.0 - self.answer.bound / self.answer.cost


def timed(seed: int, count: int, homes: int, sort: Sort) -> Timed:
    v, j = crowded(seed, count, homes, sort, moved=2 + seed % 7)

    def search() -> HomeSearch:
        asked = asked_by(v, j)
        return HomeSearch(asked, rules_for(v, asked), catalog(), j.hour_worth)

    start = time.process_time()
    grid = search().over_grid(LIMIT_S)
    middle = time.process_time()
    whole = search()
    answer = slid(whole, whole.tried_out(LIMIT_S))
    return Timed(middle - start, time.process_time() - middle, grid, answer)


def main() -> None:
    cases = int(sys.argv[1]) if len(sys.argv) > 1 else 7
    most = int(sys.argv[2]) if len(sys.argv) > 2 else 1000
    print(
        f"{'parts':>5} {'homes':>5} {'':5} {'cases':>5} {'moved':>5} {'grid [s]':>8} {'proved':>6} "
        f"{'all [s]':>8} {'worst':>6} {'over':>4} {'proved':>6} {'gap':>6} {'MB':>5}"
    )
    for count in (n for n in (100, 500, 1000) if n <= most):
        for homes in (50, 200):
            for sort in (PLAIN, DENSE):
                every = [timed(seed, count, homes, sort) for seed in range(cases)]
                found = [t for t in every if t.answer.proof is not Proof.NONE]
                if not found:
                    continue
                on_grid = sum(t.grid.proof is Proof.PROVED for t in found)
                proved = sum(t.answer.proof is Proof.PROVED and t.answer.contact for t in found)
                over = sum(t.all_s > LIMIT_S for t in found)
                peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss // 1024
                print(
                    f"{count:5} {homes:5} {sort.name:5} {len(found):5} {median(t.moved for t in found):5.0f} "
                    f"{median(t.grid_s for t in found):8.2f} {on_grid:6} {median(t.all_s for t in found):8.2f} "
                    f"{max(t.all_s for t in found):6.1f} {over:4} {proved:6} {max(t.gap for t in found):6.1%} {peak:5}",
                    flush=True,
                )


if __name__ == "__main__":
    main()
