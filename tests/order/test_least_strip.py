"""The least strip-down against plain shortest path, and the pitfalls of proving it."""

from __future__ import annotations

import pytest
from brute_force import faults, least_cost
from ortools.sat.python import cp_model
from worklists import checkpoint, feature, need, random_work, task, toggle, with_wishes, work_list

from planner.model.effects import Proof
from planner.model.plan import Step, Strip
from planner.model.work import WorkList
from planner.order import least_strip
from planner.order.strip_bounds import Node, forced_counts
from planner.order.strip_constraints import constrain, set_objective
from planner.order.strip_hunt import FEW
from planner.order.strip_model import smallest_caps, with_variables
from planner.order.strip_problem import movable, prepared
from planner.order.strip_reach import pairs_rule_out, search, space_of
from planner.order.strip_repair import is_plan, repaired
from planner.order.strip_solve import cannot_be_done


def pairs(strip: Strip) -> list[tuple[str, bool | None]]:
    return [(s.ref, s.on) for s in strip.steps]


@pytest.mark.parametrize("block", range(10))
def test_equals_exhaustive_search(block: int) -> None:
    for seed in range(block * 20, block * 20 + 20):
        work = random_work(seed) if block % 2 else with_wishes(random_work(seed), seed)
        least = least_cost(work)
        strip = least_strip(work)
        if least is None:
            assert strip.proof is Proof.NONE, seed
            assert strip.trouble, seed
            assert not strip.steps, seed
        else:
            assert strip.proof is Proof.PROVED, seed
            assert (strip.cost, strip.bound) == (least, least), seed
            assert faults(work, pairs(strip)) == [], seed


def test_the_random_cases_hold_both_kinds() -> None:
    found = [least_cost(random_work(seed)) for seed in range(300)]
    assert sum(c is None for c in found) > 50
    assert sum(c is not None for c in found) > 100


@pytest.mark.slow
def test_equals_exhaustive_search_at_length() -> None:
    done = {True: 0, False: 0}
    for seed in range(300, 3000):
        work = random_work(seed) if seed % 2 else with_wishes(random_work(seed), seed)
        least = least_cost(work)
        strip = least_strip(work)
        assert strip.proof is (Proof.NONE if least is None else Proof.PROVED), seed
        assert (least is None) == cannot_be_done(strip), seed
        if least is not None:
            assert (strip.cost, strip.bound) == (least, least), seed
            assert faults(work, pairs(strip)) == [], seed
        done[least is not None] += 1
    print(f"equal: {done[True]} with a plan, {done[False]} without")
    assert sum(done.values()) >= 1000


@pytest.mark.parametrize("limit_s", [0.0, 0.02, 0.1])
def test_with_little_time_the_bound_holds_and_the_plan_is_true(limit_s: float) -> None:
    found = 0
    for seed in range(120):
        work = with_wishes(random_work(seed), seed)
        least = least_cost(work)
        strip = least_strip(work, limit_s=limit_s)
        if strip.proof is Proof.NONE:
            assert least is None or not cannot_be_done(strip), seed
            continue
        found += strip.proof is Proof.FOUND
        assert least is not None, seed
        assert strip.bound <= least <= strip.cost, seed
        assert strip.proof is Proof.FOUND or strip.cost == least, seed
        assert faults(work, pairs(strip)) == [], seed
    assert limit_s > 0 or found > 1


def tank_job() -> WorkList:
    """A tank off for a cut, back for the trial fit, off for paint, refitted; a seat in the way of the tank."""
    tank = feature(
        "tank",
        on=toggle("tank", True, 30, demands=["not seat"]),
        off=toggle("tank", False, 20, demands=["not seat"]),
    )
    seat = feature("seat", on=toggle("seat", True, 5, hands=2), off=toggle("seat", False, 5, hands=2))
    bonnet = feature("bonnet", on_min=3, off_min=3)
    tasks = [
        task("paint", demands=["not tank"], after=["trial-fit"]),
        task("trial-fit", demands=["tank"], after=["cut"]),
        task("cut", demands=["not tank"]),
    ]
    return work_list([tank, seat, bonnet], tasks)


def test_part_off_for_the_cut_back_for_the_trial_fit_off_for_paint() -> None:
    strip = least_strip(tank_job())
    assert strip.proof is Proof.PROVED
    # Two trips of the tank at 20 + 30, one of the seat at (5 + 5) with two pairs of hands: worked out by hand.
    assert strip.cost == 2 * (20 + 30) + (5 + 5) * 2
    assert pairs(strip) == [
        ("seat", False),
        ("tank", False),
        ("cut", None),
        ("tank", True),
        ("trial-fit", None),
        ("tank", False),
        ("paint", None),
        ("tank", True),
        ("seat", True),
    ]


def one_at_a_time(*, dear_way: int | None = None) -> WorkList:
    """Three flaps; a cover comes off to open one and goes on for the work behind it, and one flap is open at a time.

    So the cover makes three trips, though no row of waiting tasks says so. ``dear_way`` adds an expensive way round.
    """
    flaps = ["a", "b", "c"]
    features = [feature("cover", on_min=1, off_min=1)]
    if dear_way is not None:
        features.append(feature("wall", on_min=dear_way, off_min=dear_way))
    for flap in flaps:
        ways = [["not cover"], *([["not wall"]] if dear_way is not None else [])]
        off = toggle(flap, False, 2, demands=[f for f in flaps if f != flap], ways=ways)
        on = toggle(flap, True, 2, demands=["cover"])
        features.append(feature(flap, on=on, off=off))
    tasks = [task(f"work-{flap}", demands=[f"not {flap}", "cover"]) for flap in flaps]
    return work_list(features, tasks)


def capped(work: WorkList) -> tuple[int, int | None]:
    """Status and optimum of the model within the smallest caps."""
    ready = prepared(work)
    bounds = forced_counts(ready)
    made = with_variables(ready, bounds, smallest_caps(ready, bounds), allow_wild=False)
    constrain(made)
    set_objective(made, 0)
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    status = solver.solve(made.model)
    return status, round(solver.objective_value) if status == cp_model.OPTIMAL else None


def test_infeasible_within_caps_is_no_verdict() -> None:
    work = one_at_a_time()
    assert capped(work)[0] == cp_model.INFEASIBLE
    strip = least_strip(work)
    # Three trips of the cover at 2, each flap at 4.
    assert (strip.proof, strip.cost) == (Proof.PROVED, 3 * 2 + 3 * 4)
    assert strip.cost == least_cost(work)
    assert sum(s == Step(ref="cover", on=False) for s in strip.steps) == 3


def test_optimal_within_caps_is_no_proof() -> None:
    work = one_at_a_time(dear_way=50)
    status, cost = capped(work)
    assert status == cp_model.OPTIMAL
    assert cost is not None
    strip = least_strip(work)
    assert strip.cost < cost
    assert (strip.proof, strip.cost) == (Proof.PROVED, least_cost(work))


def never_both() -> WorkList:
    """Two flaps of which each needs the other shut to move: never both open, whatever the number of repeats."""
    made = [
        feature(f, on=toggle(f, True, 1, demands=[other]), off=toggle(f, False, 1, demands=[other]))
        for f, other in (("a", "b"), ("b", "a"))
    ]
    return work_list(made, [task("both", demands=["not a", "not b"])])


def test_impossible_though_every_cap_leaves_a_way_out() -> None:
    work = never_both()
    assert least_cost(work) is None
    assert least_strip(work).proof is Proof.NONE
    assert pairs_rule_out(space_of(prepared(work)))
    assert search(space_of(prepared(work)), 1000) is False


def test_impossible_among_more_features_than_can_be_searched() -> None:
    work = never_both()
    lids = [feature(f"lid-{i}") for i in range(FEW)]
    looks = [task(f"look-{i}", demands=[f"not lid-{i}"]) for i in range(FEW)]
    strip = least_strip(work_list([*work.features.values(), *lids], [*work.tasks.values(), *looks]))
    assert strip.proof is Proof.NONE
    assert [line for line in strip.trouble if "lid" in line] == []
    assert "`both` needs `a` off" in strip.trouble


def test_pairs_never_rule_out_what_is_possible() -> None:
    ruled = 0
    for seed in range(300):
        work = random_work(seed)
        if pairs_rule_out(space_of(prepared(work))):
            ruled += 1
            assert least_cost(work) is None, seed
    assert ruled > 50


def test_the_walk_gives_true_plans_only() -> None:
    found = 0
    for seed in range(200):
        work = prepared(random_work(seed))
        steps = repaired(work, list(work.tasks))
        if steps is not None:
            found += is_plan(work, steps)
            assert is_plan(work, steps) == (faults(work, [(s.ref, s.on) for s in steps]) == []), seed
    assert found > 50


def test_forced_counts_never_exceed_the_truth() -> None:
    for seed in range(200):
        work = prepared(random_work(seed))
        bounds = forced_counts(work)
        if bounds.impossible:
            assert least_cost(work) is None, seed
            continue
        if least_cost(work) is None:
            continue
        strip = least_strip(work)
        for p, count in bounds.forced.items():
            assert sum(s.ref == p and s.on is not None for s in strip.steps) >= count, (seed, p)


def test_forced_counts_of_the_tank() -> None:
    bounds = forced_counts(prepared(tank_job()))
    assert bounds.forced == {"tank": 4, "seat": 2}
    assert bounds.before[Node("paint"), "tank"] == 3
    assert bounds.after[Node("cut"), "tank"] == 3


def test_what_nobody_asks_for_stays() -> None:
    assert movable(tank_job()) == {"tank", "seat"}


def test_last_demand_holds_to_the_end() -> None:
    lamp = feature("lamp", on_min=4, off_min=4)
    work = work_list([lamp], [task("aim", demands=["lamp!"]), task("wire", demands=["not lamp"])])
    assert pairs(least_strip(work)) == [("lamp", False), ("wire", None), ("lamp", True), ("aim", None)]
    either = work_list([lamp], [task("aim", demands=["lamp"]), task("wire", demands=["not lamp"])])
    assert pairs(least_strip(either))[0] == ("aim", None)


def test_a_checkpoint_comes_before_what_it_blocks() -> None:
    tasks = [task("drive"), task("pull-test", checkpoint="brakes-hold")]
    free = work_list([], tasks)
    assert pairs(least_strip(free)) == [("drive", None), ("pull-test", None)]
    gated = work_list([], tasks, [checkpoint("brakes-hold", ["drive"])])
    assert pairs(least_strip(gated)) == [("pull-test", None), ("drive", None)]


def test_any_state_will_do_without_a_goal() -> None:
    work = work_list([feature("lid", goal=None)], [task("look", demands=["not lid"])])
    assert pairs(least_strip(work)) == [("lid", False), ("look", None)]


def test_free_toggles_are_not_made_for_nothing() -> None:
    free = [feature(p, on_min=0, off_min=0) for p in ("lid", "flap")]
    work = work_list(free, [task("look", demands=["not lid"]), task("measure", demands=["not lid"])])
    assert len(least_strip(work).steps) == 4


def test_nothing_to_do_is_a_plan() -> None:
    strip = least_strip(work_list([], []))
    assert (strip.proof, strip.steps, strip.trouble) == (Proof.PROVED, (), ())


def test_unknown_references_are_told() -> None:
    work = work_list([], [task("cut", demands=["not seat"], after=["mark"])])
    assert least_strip(work).trouble == (
        "`cut` waits for `mark`, which is not in the work list",
        "`cut` asks for `seat`, which is not in the work list",
    )


def test_same_input_same_answer() -> None:
    for seed in (3, 44, 101, 230):
        assert repr(least_strip(random_work(seed))) == repr(least_strip(random_work(seed)))
    assert repr(least_strip(one_at_a_time(dear_way=9))) == repr(least_strip(one_at_a_time(dear_way=9)))


def test_removals_wait_and_refits_do_not() -> None:
    work = work_list(
        [feature("seat"), feature("tank")],
        [task("weld", demands=["not tank"], after=["drill"]), task("drill", demands=["not seat"])],
    )
    assert pairs(least_strip(work)) == [
        ("seat", False),
        ("drill", None),
        ("seat", True),
        ("tank", False),
        ("weld", None),
        ("tank", True),
    ]


def test_what_needs_least_change_comes_first() -> None:
    work = work_list(
        [feature("seat"), feature("tank")],
        [task("weld", demands=["not tank", "not seat"]), task("bore", demands=["not seat"]), task("measure")],
    )
    assert [s.ref for s in least_strip(work).steps] == ["measure", "seat", "bore", "tank", "weld", "tank", "seat"]


def doors(count: int) -> WorkList:
    """A row of doors of which one is open at a time, behind one cover: many trips of the cover."""
    names = [f"door-{i}" for i in range(count)]
    features = [feature("cover", on_min=1, off_min=1)]
    for name in names:
        off = toggle(name, False, 2, demands=["not cover", *(n for n in names if n != name)])
        features.append(feature(name, on=toggle(name, True, 2, demands=["cover"]), off=off))
    return work_list(features, [task(f"work-{n}", demands=[f"not {n}", "cover"]) for n in names])


def test_out_of_time_is_told_and_the_plan_is_still_true() -> None:
    doors_there = 24
    work = doors(doors_there)
    strip = least_strip(work, limit_s=1.0)
    assert strip.proof is Proof.FOUND
    assert faults(work, pairs(strip)) == []
    # The cover makes a trip for each door, each door one of its own.
    assert strip.bound < doors_there * 2 + doors_there * 4 <= strip.cost


def test_need_reads_last() -> None:
    assert need("not seat!").last
    assert not need("seat").last
