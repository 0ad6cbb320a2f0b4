"""How long a job book takes after its plan, and how large it is: `python tests/bench/bench_book.py` prints a table."""

from __future__ import annotations

import statistics
import sys
import time
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1]))

from trials import answer

from planner.book import book_page
from planner.sums.sheet import sums_of

JOBS = ("battery-aft", "header-tank", "hung-pedals")
RUNS = 5


def main() -> None:
    """Print the table; the first run of each is told apart, for it also reads the templates."""
    print(f"{'job':14} {'steps':>6} {'first s':>8} {'median s':>9} {'bytes':>10}")
    for job in JOBS:
        found = answer(job)
        after = found.knockons
        sums = sums_of(after.after, after.links_after, found.vehicle.figures)
        times, page = [], ""
        for _ in range(RUNS):
            start = time.perf_counter()
            page = book_page(found, sums=sums)
            times.append(time.perf_counter() - start)
        size = len(page.encode())
        print(f"{job:14} {len(found.plan.slots):6} {times[0]:8.2f} {statistics.median(times):9.2f} {size:10}")


if __name__ == "__main__":
    main()
