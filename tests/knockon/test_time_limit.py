"""The limit of time: an answer that stands comes out whatever happens, beside a bound that holds, always the same."""

from __future__ import annotations

import pytest
from crowded_vehicles import DENSE, crowded
from garage import catalog

from planner.knockon import find_knockons
from planner.knockon.asked import asked_by
from planner.knockon.budget import Budget
from planner.knockon.conflicts import rules_for
from planner.knockon.homes import HomeSearch
from planner.model.effects import Proof
from planner.verify import check_homes

SHORT_S, LONG_S = 0.15, 60.0
CASES = (3, 5)


@pytest.mark.parametrize("seed", CASES)
def test_answer_out_of_time_stands_and_its_bound_holds(seed: int) -> None:
    v, j = crowded(seed, 100, 50, DENSE, moved=6)
    told = find_knockons(v, j, catalog(), limit_s=SHORT_S)
    assert told.proof is Proof.FOUND
    assert told.bound < told.cost
    assert check_homes(v, j, told) == ()
    asked = asked_by(v, j)
    proved = HomeSearch(asked, rules_for(v, asked), catalog(), j.hour_worth).over_grid(LONG_S)
    assert proved.proof is Proof.PROVED
    assert told.bound * 1000 - 999 <= proved.cost


@pytest.mark.parametrize("seed", CASES[:1])
def test_same_answer_every_time(seed: int) -> None:
    first, second = (
        find_knockons(*crowded(seed, 100, 50, DENSE, moved=6), catalog(), limit_s=SHORT_S) for _ in range(2)
    )
    assert first == second


def test_budget_counts_down() -> None:
    budget = Budget()
    assert not budget.spent(0.5)
    budget.start(10.0)
    budget.spend(6.0)
    assert budget.spent(0.5)
    assert not budget.spent(0.7)
    budget.start(1.0)
    assert not budget.spent(0.0)
