"""The least strip-down against a general classical planner (A* with landmark cuts, proved optimal).

The planner comes with the optional extra `referee`; without it these tests are skipped. Instances with re-removals,
steps for two pairs of hands (in their price), alternatives, locks, prices and bans of the owner.
"""

from __future__ import annotations

import importlib.util
import statistics
import sys
import time
from pathlib import Path

import pytest
from brute_force import least_cost
from classical import planned_cost
from worklists import random_work, with_wishes

from planner.model.effects import Proof
from planner.model.work import WorkList
from planner.order import least_strip

sys.path.insert(0, str(Path(__file__).parents[1] / "bench"))

from strip_instances import KINDS, invented_job

pytestmark = pytest.mark.skipif(
    importlib.util.find_spec("unified_planning") is None or importlib.util.find_spec("up_fast_downward") is None,
    reason="the classical planner is not installed: pip install -e '.[referee]'",
)
LIMIT_S = 30.0


def test_planner_agrees_on_a_few() -> None:
    for kind in KINDS[1:]:
        work = invented_job(kind, 4, 1)
        assert planned_cost(work, LIMIT_S)[1] == least_strip(work).cost


def instances() -> list[tuple[str, WorkList]]:
    made: list[tuple[str, WorkList]] = []
    for seed in range(5000, 5200):
        work = with_wishes(random_work(seed, most_features=6, most_tasks=6), seed)
        if len(work.features) > 3 and least_cost(work) is not None:
            made.append((f"random {seed}", work))
        if len(made) == 30:
            break
    made += [
        (f"{k.name} {n} parts, {s}", invented_job(k, n, s)) for k in KINDS for n in (5, 7, 9, 12) for s in (0, 1, 2)
    ]
    return made


@pytest.mark.slow
def test_planner_agrees_on_many() -> None:
    """Prints the ratio of times; wall-clock times of a separate program against processor time of ours."""
    equal, gave_up, ratios = 0, [], []
    for name, work in instances():
        begin = time.process_time()
        strip = least_strip(work)
        ours_s = time.process_time() - begin
        begin = time.perf_counter()
        status, cost = planned_cost(work, LIMIT_S)
        theirs_s = time.perf_counter() - begin
        if cost is None:
            gave_up.append(f"{name}: {status}")
            continue
        assert strip.proof is Proof.PROVED, name
        assert strip.cost == cost, name
        equal += 1
        ratios.append(theirs_s / ours_s)
    print(f"\nequal: {equal}; the planner gave up in {LIMIT_S:g} s on {len(gave_up)}: {gave_up}")
    print(
        f"its time over ours: median {statistics.median(ratios):.0f}, least {min(ratios):.0f}, most {max(ratios):.0f}"
    )
    assert equal >= 50
