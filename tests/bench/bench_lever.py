"""Timings of the lever sums: `python tests/bench/bench_lever.py` prints a table (process time, one core)."""

from __future__ import annotations

import sys
import time
from pathlib import Path

import numpy as np

sys.path.insert(0, str(Path(__file__).parents[1] / "sums"))

from test_lever_design import random_problem
from test_lever_screen import random_layouts

from planner.sums.lever_design import designed
from planner.sums.lever_screen import screened

COUNT = 1_000_000


def main() -> None:
    many = random_layouts(COUNT, 1)
    best = np.inf
    for _ in range(5):
        begin = time.process_time()
        screened(many)
        best = min(best, time.process_time() - begin)
    print(f"{'screened with all outputs':32s} {COUNT / best / 1e6:6.2f} million layouts/s")
    spent = []
    for seed in range(10):
        begin = time.process_time()
        looked = designed(random_problem(seed)).looked_at
        spent.append(time.process_time() - begin)
    print(f"{'one design problem':32s} {np.median(spent):6.2f} s for {looked:,} layouts")


if __name__ == "__main__":
    main()
