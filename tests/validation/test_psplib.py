"""The scheduling engine against published instances and results.

R. Kolisch, A. Sprecher, "PSPLIB - a project scheduling problem library", European Journal of Operational Research 96,
1996: single-mode sets j30, j60 and j120, with the published lower bounds and best known finishes.
"""

from __future__ import annotations

from collections.abc import Iterable

import pytest
from psplib_reader import FOLDER, Published, published, read
from rcpsp_reference import faults

from planner.order.project import Project, Schedule
from planner.order.rcpsp import schedule

pytest.importorskip("psplib", reason="the reader of the instances is not installed: pip install psplib")
SAMPLE = {p.name: p for p in published()}
pytestmark = pytest.mark.skipif(not SAMPLE, reason=f"the sample of instances is not there: {FOLDER}")

# Optima proved with a general constraint solver; the critical paths of the same files beside them.
PROVED = {"j301_1": (43, 38), "j301_8": (53, 53), "j3013_8": (106, 48)}
QUICK = ("j301_1", "j301_8")
# One optimal vector of j301_1, jobs 1 to 32.
STARTS_J301_1 = (
    *(0, 4, 0, 0, 12, 31, 4, 4, 10, 6, 12, 13, 4, 15, 12, 13),
    *(23, 10, 18, 21, 29, 29, 36, 38, 28, 21, 15, 35, 28, 41, 38, 43),
)
# Mean distance to the best known finish that 10 s on two cores must reach, in percent.
MEAN_OVER_BEST = {"j30": 0.0, "j60": 0.5, "j120": 2.5}


def longest_path(project: Project) -> int:
    ends: dict[int, int] = {}
    while len(ends) < len(project.activities):
        for k, a in enumerate(project.activities):
            if k not in ends and set(a.before) <= set(ends):
                ends[k] = max((ends[i] for i in a.before), default=0) + a.duration
    return max(ends.values())


def check(entry: Published, project: Project, found: Schedule) -> None:
    assert faults(project, found.starts) == []
    assert found.finish == max(s + a.duration for a, s in zip(project.activities, found.starts, strict=True))
    assert found.finish >= entry.low, f"{entry.name} beats the published lower bound"
    assert found.bound <= entry.best, f"{entry.name}: a bound above a published finish"
    assert longest_path(project) <= found.bound


def mean(values: Iterable[float]) -> float:
    kept = list(values)
    return sum(kept) / len(kept)


@pytest.mark.parametrize("name", SAMPLE)
def test_an_answer_is_valid_and_no_better_than_proved(name: str) -> None:
    project = read(name)
    check(SAMPLE[name], project, schedule(project, limit_s=0.1, workers=2))


@pytest.mark.slow
def test_ten_seconds_on_two_cores_come_this_near_the_best_known() -> None:
    over: dict[str, list[float]] = {}
    for name, entry in SAMPLE.items():
        project = read(name)
        found = schedule(project, limit_s=10, workers=2)
        check(entry, project, found)
        over.setdefault(entry.family, []).append(100 * (found.finish / entry.best - 1))
    reached = {family: mean(values) for family, values in over.items()}
    assert all(reached[family] <= most for family, most in MEAN_OVER_BEST.items()), reached


@pytest.mark.parametrize("name", [*QUICK, *(pytest.param(n, marks=pytest.mark.slow) for n in PROVED if n not in QUICK)])
def test_optima_and_critical_paths_that_were_proved_elsewhere(name: str) -> None:
    optimum, path = PROVED[name]
    if name not in SAMPLE:
        pytest.skip(f"{name} is not in the sample")
    project = read(name)
    assert longest_path(project) == path
    assert schedule(project, limit_s=5, workers=2).finish == optimum


def test_a_published_optimal_vector_is_valid_and_taken_as_a_hint() -> None:
    if "j301_1" not in SAMPLE:
        pytest.skip("j301_1 is not in the sample")
    project = read("j301_1")
    assert faults(project, STARTS_J301_1) == []
    assert max(STARTS_J301_1) == 43
    assert schedule(project, limit_s=0, hint=STARTS_J301_1).finish == 43
