"""Ours beside PyJobShop on the published sample: `python tests/bench/bench_psplib.py [seconds] [workers] [names...]`.

Both get the same limit on the same machine, one after the other; ours counts its limit in steps of work, so the
seconds of the clock and of the processor are printed beside every answer.
"""

from __future__ import annotations

import os
import sys
import time
from dataclasses import dataclass
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1] / "order"))

from psplib_reader import Published, published, read
from pyjobshop import Model
from rcpsp_reference import faults

from planner.order.project import Project
from planner.order.rcpsp import schedule


@dataclass(frozen=True, slots=True, kw_only=True)
class Run:
    """Finish and bound of one answer, and the seconds it took by the clock and by the processor."""

    finish: int
    bound: int
    clock_s: float
    processor_s: float

    def told(self, best: int) -> str:
        mark = "*" if self.bound == self.finish else " "
        over = 100 * (self.finish / best - 1)
        return f"{self.finish:5d}{mark}{self.bound:5d} {over:6.2f} {self.clock_s:6.1f} {self.processor_s:6.1f}"


def ours(project: Project, limit_s: float, workers: int) -> Run:
    clock, processor = time.perf_counter(), time.process_time()
    found = schedule(project, limit_s=limit_s, workers=workers)
    run = Run(
        finish=found.finish,
        bound=found.bound,
        clock_s=time.perf_counter() - clock,
        processor_s=time.process_time() - processor,
    )
    assert faults(project, found.starts) == []
    return run


def theirs(project: Project, limit_s: float, workers: int) -> Run:
    clock, processor = time.perf_counter(), time.process_time()
    model = Model()
    resources = [model.add_renewable(capacity=c) for c in project.capacity]
    tasks = []
    for a in project.activities:
        task = model.add_task()
        model.add_mode(task, resources, duration=a.duration, demands=list(a.uses))
        tasks.append(task)
    for k, a in enumerate(project.activities):
        for i in a.before:
            model.add_end_before_start(tasks[i], tasks[k])
    result = model.solve(time_limit=limit_s, num_workers=workers, display=False)
    return Run(
        finish=int(result.objective),
        bound=int(result.lower_bound),
        clock_s=time.perf_counter() - clock,
        processor_s=time.process_time() - processor,
    )


def summary(rows: list[tuple[Published, Run, Run]]) -> None:
    print(f"\n{'set':6} {'':10} over best, mean %   proved   clock s   processor s   (mean)")
    for family in sorted({entry.family for entry, _, _ in rows}, key=lambda f: int(f[1:])):
        for who, at in (("ours", 1), ("PyJobShop", 2)):
            runs = [(row[0], row[at]) for row in rows if row[0].family == family]
            over = sum(100 * (run.finish / entry.best - 1) for entry, run in runs) / len(runs)
            proved = sum(run.finish == run.bound for _, run in runs)
            clock = sum(run.clock_s for _, run in runs) / len(runs)
            processor = sum(run.processor_s for _, run in runs) / len(runs)
            print(f"{family:6} {who:10} {over:17.2f} {proved:4d}/{len(runs):2d} {clock:9.1f} {processor:13.1f}")


def main() -> None:
    limit_s = float(sys.argv[1]) if len(sys.argv) > 1 else 10.0
    workers = int(sys.argv[2]) if len(sys.argv) > 2 else 2
    names = sys.argv[3:]
    print(f"{limit_s:g} s, {workers} workers, load {os.getloadavg()[0]:.1f} at the start")
    print(f"{'':10}{'':10} {'ours':^33}   {'PyJobShop':^33}")
    head = "finish bound over% clock   proc"
    print(f"{'instance':10}{'published':>10} {head:>33}   {head:>33}     * proved")
    rows = []
    for entry in published():
        if names and entry.name not in names:
            continue
        project = read(entry.name)
        row = (entry, ours(project, limit_s, workers), theirs(project, limit_s, workers))
        rows.append(row)
        known = f"{entry.low}..{entry.best}"
        print(f"{entry.name:10}{known:>10} {row[1].told(entry.best):>33}   {row[2].told(entry.best):>33}", flush=True)
    summary(rows)
    print(f"load {os.getloadavg()[0]:.1f} at the end")


if __name__ == "__main__":
    main()
