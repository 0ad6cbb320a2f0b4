"""The choice of homes against every combination tried by other means, on random small vehicles."""

from __future__ import annotations

from functools import cache

import pytest
from brute_boxes import FREE
from brute_homes import Best, Brute, Spot
from garage import catalog
from random_vehicles import random_case

from planner.knockon import find_knockons, present_faults
from planner.knockon.asked import asked_by
from planner.knockon.conflicts import rules_for
from planner.knockon.homes import Arrangement, HomeSearch
from planner.model.effects import EffectKind, Proof
from planner.model.job import Job
from planner.model.vehicle import Vehicle

DEFAULT, ALL = 200, 1000


def searched(v: Vehicle, j: Job) -> Arrangement:
    asked = asked_by(v, j)
    return HomeSearch(asked, rules_for(v, asked), catalog(), j.hour_worth).run(limit_s=30)


@cache
def tried(seed: int) -> tuple[Brute, Best | None]:
    v, j = random_case(seed)
    brute = Brute(v, j, catalog())
    return brute, brute.run()


def least_cost_agrees(seed: int) -> None:
    v, j = random_case(seed)
    assert present_faults(v) == (), f"case {seed} is not sound at the start"
    brute, best = tried(seed)
    found = searched(v, j)
    if best is None:
        assert found.proof is Proof.NONE, f"case {seed}: an answer, where every combination fails"
        assert found.stuck
        return
    assert found.proof is Proof.PROVED, f"case {seed}: no answer, where there is one for {best.cost}"
    assert found.cost == best.cost, f"case {seed}"
    assert found.bound == found.cost
    places = {i: Spot(i, p.part.pose, p.part.mounted_on) for i, p in found.placed.items()}
    assert brute.judged(places) == found.cost, f"case {seed}: the places do not come about at this price"


@pytest.mark.parametrize("seed", range(DEFAULT))
def test_least_cost_is_that_of_all_combinations(seed: int) -> None:
    least_cost_agrees(seed)


@pytest.mark.slow
@pytest.mark.parametrize("seed", range(DEFAULT, ALL))
def test_least_cost_is_that_of_all_combinations_of_more(seed: int) -> None:
    least_cost_agrees(seed)


def mix(count: int) -> tuple[int, int, int]:
    """How many cases have a part pushed by a moved part only, no answer, and any move at all."""
    cascades = stuck = moving = 0
    for seed in range(count):
        brute, best = tried(seed)
        stuck += best is None
        moving += best is not None and best.cost > 0
        cascades += best is not None and bool(brute.pushed_by_movers_only(best))
    return cascades, stuck, moving


def test_cases_hold_cascades_and_dead_ends() -> None:
    cascades, stuck, moving = mix(DEFAULT)
    assert cascades >= 10
    assert stuck >= 10
    assert moving >= 60


@pytest.mark.parametrize("seed", range(0, DEFAULT, 5))
def test_knockons_tell_the_same_answer(seed: int) -> None:
    v, j = random_case(seed)
    brute, best = tried(seed)
    told = find_knockons(v, j, catalog())
    if best is None:
        assert told.proof is Proof.NONE
        assert told.trouble
        return
    assert told.proof is Proof.PROVED
    assert told.cost == told.bound == -(-best.cost // 1000)
    moved = {i for i, c in told.after.items() if i in v.components and c.pose != v.components[i].pose}
    assert set(told.homes) == moved
    assert {e.subject for e in told.effects if e.kind is EffectKind.MOVES} == moved
    assert not brute.new & moved


def test_stuck_parts_are_the_smallest_set() -> None:
    """With any one of the parts named left out (and what rests on it), the others can be placed."""
    sets = [seed for seed in range(DEFAULT) if tried(seed)[1] is None and smallest_set(seed)]
    assert len(sets) >= 5


def smallest_set(seed: int) -> bool:
    """Check the set named in a case without answer; False when it is the job's own doing or a single part."""
    v, j = random_case(seed)
    stuck = set(searched(v, j).stuck)
    brute = Brute(v, j, catalog())
    assert stuck <= set(brute.parts) | set(v.links)
    if stuck & brute.fixed or stuck & set(v.links) or len(stuck) == 1:
        return False
    assert not placeable(v, j, stuck), f"case {seed}: {stuck} can be placed"
    for part in stuck:
        rest = {p for p in stuck if p != part and part not in brute.hosts(p)}
        assert placeable(v, j, rest), f"case {seed}: `{part}` is not needed among {stuck}"
    return True


def placeable(v: Vehicle, j: Job, parts: set[str]) -> bool:
    """Whether these movable parts find homes together when all other movable parts are not there."""
    brute = Brute(v, j, catalog())
    gone = {i for i, c in brute.parts.items() if c.freedom in FREE and i not in parts | brute.fixed}
    gone |= {i for i in brute.parts if gone & set(brute.hosts(i))} - parts
    brute.order = [i for i in brute.order if i not in gone]
    return brute.run() is not None
