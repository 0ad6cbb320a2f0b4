"""The choice of homes against every combination tried by other means, on random small vehicles."""

from __future__ import annotations

import math
from functools import cache

import pytest
from brute_boxes import FREE
from brute_homes import Best, Brute, Spot
from garage import catalog
from random_vehicles import deep_case, random_case, tight_case

from planner.knockon import find_knockons, present_faults
from planner.knockon.asked import asked_by
from planner.knockon.conflicts import rules_for
from planner.knockon.homes import Arrangement, HomeSearch
from planner.model.effects import EffectKind, Proof
from planner.model.job import Job
from planner.model.vehicle import Vehicle
from planner.verify import check_homes

FIRST, DEFAULT, ALL, DEEP = 50, 110, 1000, 45
MOST_IN_CONTACT = 60_000
"""Combinations, with homes in contact, that a case may have to be tried one by one."""
WORTH_IT = 500
"""Homes in contact are looked through for half a hand-minute, in thousandths."""


def search_for(v: Vehicle, j: Job) -> HomeSearch:
    asked = asked_by(v, j)
    return HomeSearch(asked, rules_for(v, asked), catalog(), j.hour_worth)


def searched(v: Vehicle, j: Job) -> Arrangement:
    return search_for(v, j).over_grid(limit_s=60)


@cache
def tried(seed: int) -> tuple[Brute, Best | None]:
    v, j = random_case(seed)
    brute = Brute(v, j, catalog())
    return brute, brute.run()


def needs_contact(search: HomeSearch) -> bool:
    """Whether the grid had no home for some part, so that contact was looked at."""
    return search.offers.in_contact()


def least_cost_agrees(seed: int) -> None:
    v, j = random_case(seed)
    assert present_faults(v) == (), f"case {seed} is not sound at the start"
    brute, best = tried(seed)
    search = search_for(v, j)
    found = search.over_grid(limit_s=60)
    if needs_contact(search):
        in_contact_agrees(seed, best, found, worth=0)
        return
    if best is None:
        assert found.proof is Proof.NONE, f"case {seed}: an answer, where every combination fails"
        assert found.stuck
        return
    assert found.proof is Proof.PROVED, f"case {seed}: no answer, where there is one for {best.cost}"
    assert found.cost == best.cost, f"case {seed}"
    assert found.bound == found.cost
    places = {i: Spot(i, p.part.pose, p.part.mounted_on) for i, p in found.placed.items()}
    assert brute.judged(places) == found.cost, f"case {seed}: the places do not come about at this price"


def in_contact_agrees(seed: int, grid: Best | None, found: Arrangement, *, worth: int) -> bool:
    """Between the best with homes in contact (which may be undercut by ``worth`` only) and the best on the grid.

    False when there are too many combinations to try.
    """
    v, j = random_case(seed)
    brute = Brute(v, j, catalog(), contact=True)
    if math.prod(len(brute.choices(i)) or 1 for i in brute.order) > MOST_IN_CONTACT:
        assert grid is None or found.cost <= grid.cost
        return False
    best = brute.run()
    if best is None:
        assert found.proof is Proof.NONE, f"case {seed}: an answer, where every combination fails"
        assert found.stuck
        return True
    assert found.proof is Proof.PROVED, f"case {seed}: no answer, where there is one for {best.cost}"
    top = best.cost + worth if worth or grid is None else grid.cost
    assert best.cost <= found.cost <= (top if grid is None else min(top, grid.cost)), f"case {seed}"
    places = {i: Spot(i, p.part.pose, p.part.mounted_on) for i, p in found.placed.items()}
    assert brute.judged(places) == found.cost, f"case {seed}: the places do not come about at this price"
    return True


def contact_agrees(seed: int) -> bool:
    v, j = random_case(seed)
    _, grid = tried(seed)
    return in_contact_agrees(seed, grid, search_for(v, j).run(limit_s=60), worth=WORTH_IT)


@pytest.mark.parametrize("seed", range(FIRST))
def test_least_cost_is_that_of_all_combinations(seed: int) -> None:
    least_cost_agrees(seed)


@pytest.mark.slow
@pytest.mark.parametrize("seed", range(FIRST, ALL))
def test_least_cost_is_that_of_all_combinations_of_more(seed: int) -> None:
    least_cost_agrees(seed)


def test_homes_in_contact_are_among_all_combinations() -> None:
    checked = [seed for seed in range(0, DEFAULT, 6) if contact_agrees(seed)]
    assert len(checked) >= 10


def slot_agrees(seed: int) -> bool:
    """Whether contact saves a case that the brute force has tried whole."""
    v, j = tight_case(seed)
    grid, best = Brute(v, j, catalog()).run(), Brute(v, j, catalog(), contact=True).run()
    found = search_for(v, j).run(limit_s=60)
    assert best is not None, f"slot {seed}"
    assert found.proof is Proof.PROVED
    assert found.contact
    assert best.cost <= found.cost <= best.cost + WORTH_IT, f"slot {seed}"
    assert check_homes(v, j, find_knockons(v, j, catalog())) == ()
    return grid is None or grid.cost > best.cost + 10 * WORTH_IT


def test_slots_beside_the_grid_are_found() -> None:
    saved = [slot_agrees(seed) for seed in range(40)]
    assert sum(saved) >= 25


@pytest.mark.slow
def test_homes_in_contact_are_among_all_combinations_of_more() -> None:
    checked = [seed for seed in range(2 * DEFAULT) if contact_agrees(seed)]
    assert len(checked) >= 120


def deep_agrees(seed: int) -> int:
    """How deep the cascade of a case is, when the least cost agrees."""
    v, j = deep_case(seed)
    brute = Brute(v, j, catalog())
    best = brute.run()
    search = search_for(v, j)
    found = search.over_grid(limit_s=60)
    if best is None or needs_contact(search):
        return 0
    assert found.proof is Proof.PROVED
    assert found.cost == best.cost, f"deep case {seed}"
    places = {i: Spot(i, p.part.pose, p.part.mounted_on) for i, p in found.placed.items()}
    assert brute.judged(places) == found.cost, f"deep case {seed}"
    return brute.depth(best)


def test_deep_cascades() -> None:
    depths = [deep_agrees(seed) for seed in range(DEEP)]
    assert sum(d >= 3 for d in depths) >= 20


@pytest.mark.slow
def test_more_deep_cascades() -> None:
    depths = [deep_agrees(seed) for seed in range(DEEP, 200)]
    assert sum(d >= 3 for d in depths) >= 60
    assert sum(d >= 4 for d in depths) >= 5


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
    assert cascades >= 5
    assert stuck >= 8
    assert moving >= 35


@pytest.mark.parametrize("seed", range(0, DEFAULT, 4))
def test_knockons_tell_the_same_answer(seed: int) -> None:
    v, j = random_case(seed)
    brute, best = tried(seed)
    told = find_knockons(v, j, catalog())
    if told.proof is Proof.NONE:
        assert best is None
        assert told.trouble
        return
    assert told.proof is Proof.PROVED
    assert told.cost == told.bound
    assert best is None or told.cost <= -(-best.cost // 1000)
    assert check_homes(v, j, told) == ()
    moved = {i for i, c in told.after.items() if i in v.components and c.pose != v.components[i].pose}
    assert set(told.homes) == moved
    assert {e.subject for e in told.effects if e.kind is EffectKind.MOVES} == moved
    assert not brute.new & moved


def test_stuck_parts_are_the_smallest_set() -> None:
    """With any one of the parts named left out (and what rests on it), the others can be placed."""
    sets = [seed for seed in range(DEFAULT) if tried(seed)[1] is None and smallest_set(seed)]
    assert len(sets) >= 3


def smallest_set(seed: int) -> bool:
    """Check the set named in a case without answer; False when it is the job's own doing or a single part."""
    v, j = random_case(seed)
    stuck = set(searched(v, j).stuck)
    brute = Brute(v, j, catalog(), contact=True)
    assert stuck <= set(brute.parts) | set(v.links)
    if stuck & brute.fixed or stuck & set(v.links) or len(stuck) < 2:
        return False
    assert not placeable(v, j, stuck), f"case {seed}: {stuck} can be placed"
    for part in stuck:
        rest = {p for p in stuck if p != part and part not in brute.hosts(p)}
        assert placeable(v, j, rest), f"case {seed}: `{part}` is not needed among {stuck}"
    return True


def placeable(v: Vehicle, j: Job, parts: set[str]) -> bool:
    """Whether these movable parts find homes together when all other movable parts are not there."""
    brute = Brute(v, j, catalog(), contact=True)
    gone = {i for i, c in brute.parts.items() if c.freedom in FREE and i not in parts | brute.fixed}
    gone |= {i for i in brute.parts if gone & set(brute.hosts(i))} - parts
    brute.order = [i for i in brute.order if i not in gone]
    return brute.run() is not None
