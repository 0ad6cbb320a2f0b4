"""Random sound plans pass; the same plans with one rule truly broken, by construction, do not."""

import itertools
from collections import Counter
from functools import cache
from random import Random
from re import search

import pytest
from random_calendar import FIRST, TIDY_MIN
from random_plans import Case, random_case
from sabotage_figures import OF_FIGURES
from sabotage_states import OF_STATES
from sabotage_times import OF_TIMES
from spoil import Sabotage
from yard import catalog

from planner.verify import check_plan, check_strip

CASES = 80
SABOTAGES = (*OF_STATES, *OF_TIMES, *OF_FIGURES)


def told(case: Case) -> tuple[str, ...]:
    said = check_plan(case.work, case.plan, case.job, catalog(TIDY_MIN), FIRST)
    return (*said, *check_strip(case.work, case.plan.strip))


@cache
def case_of(seed: int) -> Case:
    return random_case(Random(seed))


def spoilt(sabotage: Sabotage, seeds: range) -> int:
    """How often a sabotage could be made in these cases; each time it has to be told by its own sentence."""
    count = 0
    for seed in seeds:
        broken = sabotage(Random(f"{sabotage.__name__} {seed}"), case_of(seed))
        if broken is not None:
            case, word = broken
            said = told(case)
            assert any(search(word, sentence) for sentence in said), (seed, word, said)
            count += 1
    return count


def test_random_plans_are_sound() -> None:
    assert {seed: told(case_of(seed)) for seed in range(CASES) if told(case_of(seed))} == {}


def test_random_plans_show_every_kind_of_plan() -> None:
    """Otherwise the test above would say little."""
    kinds: Counter[str] = Counter()
    for seed in range(CASES):
        case = case_of(seed)
        slots = case.plan.slots
        kinds["at once"] += any(b.start < a.end for a, b in itertools.pairwise(slots))
        kinds["split"] += any(s.parts > 1 for s in slots)
        kinds["held"] += bool(case.ends) and any(h.demands for h in case.work.holds.values())
        kinds["disliked"] += case.plan.strip.dislike > 0
        kinds["traded"] += len(case.plan.frontier) > 1
        kinds["weekly"] += bool(case.job.repeating)
    assert min(kinds.values()) >= CASES // 5, kinds


@pytest.mark.parametrize("sabotage", SABOTAGES)
def test_each_sabotage_is_told_by_name(sabotage: Sabotage) -> None:
    assert spoilt(sabotage, range(16)) >= 4


@pytest.mark.slow
@pytest.mark.parametrize("sabotage", SABOTAGES)
def test_each_sabotage_is_told_by_name_in_many_cases(sabotage: Sabotage) -> None:
    assert spoilt(sabotage, range(1000, 1600)) >= 150


@pytest.mark.slow
@pytest.mark.parametrize("block", range(10))
def test_many_random_plans_are_sound(block: int) -> None:
    for seed in range(2000 + block * 300, 2300 + block * 300):
        assert told(random_case(Random(seed))) == (), seed
