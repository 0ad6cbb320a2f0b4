"""Timings of the least strip-down: `python tests/bench/bench_order.py [seeds] [--planner]` prints tables.

The instances are invented (strip_instances). Times are processor time of one core, so that a busy machine does not
count. ``--planner`` adds a table against a general classical planner, which needs the optional extra `referee`.
"""

from __future__ import annotations

import statistics
import sys
import time
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1] / "order"))

from strip_instances import KINDS, SIZES, Kind, invented_job

from planner.model.effects import Proof
from planner.model.plan import Strip
from planner.model.work import WorkList
from planner.order import least_strip

LIMITS_S = (1.0, 10.0)
PLANNER_PARTS = (5, 7, 9, 12)
PLANNER_S = 30.0


def timed(work: WorkList, limit_s: float) -> tuple[Strip, float]:
    begin = time.process_time()
    strip = least_strip(work, limit_s=limit_s)
    return strip, time.process_time() - begin


def gap_percent(strip: Strip) -> float:
    """No plan counts as all of it."""
    return 100.0 * (strip.cost - strip.bound) / strip.cost if strip.cost else 100.0


def row(kind: Kind, parts: int, seeds: range, limit_s: float) -> str:
    found = [timed(invented_job(kind, parts, seed), limit_s) for seed in seeds]
    took = sorted(t for _, t in found)
    gaps = [gap_percent(s) for s, _ in found]
    proved = sum(s.proof is Proof.PROVED for s, _ in found)
    p90 = took[min(len(took) - 1, round(0.9 * (len(took) - 1)))]
    return (
        f"{kind.name:10} {parts:5} {limit_s:6g} {len(found):6} {100 * proved / len(found):7.0f}"
        f" {statistics.median(took):8.2f} {p90:7.2f} {took[-1]:7.2f} {statistics.mean(gaps):9.2f} {max(gaps):8.2f}"
    )


def planner_table() -> None:
    from classical import planned_cost  # noqa: PLC0415 - needs the optional extra

    print(f"\n{'kind':10} {'parts':>5} {'ours [s]':>8} {'planner [s]':>11} {'ratio':>7}  optimum (planner's)")
    for kind in KINDS:
        for parts in PLANNER_PARTS:
            work = invented_job(kind, parts, 0)
            strip, ours_s = timed(work, 20.0)
            begin = time.perf_counter()
            status, cost = planned_cost(work, PLANNER_S)
            theirs_s = time.perf_counter() - begin
            told = f"{cost}" if cost is not None else f"gave up ({status})"
            print(
                f"{kind.name:10} {parts:5} {ours_s:8.3f} {theirs_s:11.1f} {theirs_s / ours_s:7.0f}"
                f"  {strip.cost} ({told})",
                flush=True,
            )


def main() -> None:
    words = [w for w in sys.argv[1:] if w != "--planner"]
    seeds = range(int(words[0]) if words else 5)
    print("processor time [s], gap [%]")
    print(
        f"{'kind':10} {'parts':>5} {'limit':>6} {'number':>6} {'proved%':>7} {'median':>8} {'p90':>7} {'most':>7}"
        f" {'mean gap':>9} {'most gap':>8}"
    )
    for limit_s in LIMITS_S:
        for kind in KINDS:
            for parts in SIZES:
                print(row(kind, parts, seeds, limit_s), flush=True)
    if "--planner" in sys.argv:
        planner_table()


if __name__ == "__main__":
    main()
