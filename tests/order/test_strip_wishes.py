"""What the owner would rather not do: in the price, in the proof, and what each wish costs."""

from __future__ import annotations

import pytest
from brute_force import least_cost
from worklists import feature, random_work, task, toggle, with_wishes, work_list

from planner.model.effects import Proof
from planner.model.work import WorkList
from planner.order import least_strip, wish_costs
from planner.order.halt import Halt
from planner.order.strip_wishes import wishes_in, without_wish


def pump_job(dislike: int | None) -> WorkList:
    """A pump that comes out past the radiator (2 x 20) or past the wheel (2 x 35); the owner dislikes the first."""
    radiator = feature(
        "radiator",
        off=toggle("radiator", False, 20, dislike=dislike),
        on=toggle("radiator", True, 20),
    )
    wheel = feature("wheel", on_min=35, off_min=35)
    ways = [["not radiator"], ["not wheel"]]
    pump = feature("pump", off=toggle("pump", False, 10, ways=ways), on=toggle("pump", True, 10, ways=ways))
    return work_list([radiator, wheel, pump], [task("weigh", demands=["not pump"])])


def test_a_small_dislike_is_borne_and_a_large_one_is_not() -> None:
    # Worked by hand: past the radiator 20 + 40 (+ the dislike), past the wheel 20 + 70.
    near, far = least_strip(pump_job(20)), least_strip(pump_job(40))
    assert (near.proof, near.cost, near.bound, near.dislike) == (Proof.PROVED, 80, 80, 20)
    assert (far.proof, far.cost, far.bound, far.dislike) == (Proof.PROVED, 90, 90, 0)
    assert {s.ref for s in near.steps} == {"radiator", "pump", "weigh"}
    assert {s.ref for s in far.steps} == {"wheel", "pump", "weigh"}


def test_what_is_never_to_be_done_is_not_done() -> None:
    strip = least_strip(pump_job(None))
    assert (strip.proof, strip.cost, strip.dislike) == (Proof.PROVED, 90, 0)


def test_what_a_wish_costs() -> None:
    for dislike, cost, more, times in ((20, 20, 0, 1), (40, 30, 30, 0), (None, 30, 30, 0)):
        work = pump_job(dislike)
        (found,) = wish_costs(work, least_strip(work))
        assert (found.feature, found.on, found.title) == ("radiator", False, "Take off the radiator")
        assert (found.dislike_min, found.cost, found.more_min, found.times) == (dislike, cost, more, times)
        assert found.proved
        assert not found.blocks


def test_a_wish_about_what_nobody_touches_costs_nothing() -> None:
    roof = feature("roof", off=toggle("roof", False, dislike=None))
    work = work_list([roof, feature("seat")], [task("look", demands=["not seat"])])
    (found,) = wish_costs(work, least_strip(work))
    assert (found.cost, found.more_min, found.proved) == (0, 0, True)


def test_a_wish_that_makes_it_impossible_is_named() -> None:
    engine = feature("engine", off=toggle("engine", False, dislike=None))
    work = work_list([engine, feature("seat")], [task("bore", demands=["not engine", "not seat"])])
    strip = least_strip(work)
    assert strip.proof is Proof.NONE
    assert strip.trouble == (
        "these cannot all hold; leave out any one of them and there is an order:",
        "`bore` needs `engine` off",
        "`Take off the engine` is never to be done, as you wish",
    )
    (found,) = wish_costs(work, strip)
    assert found.blocks
    assert found.proved
    assert found.cost is None


def test_a_wish_is_not_blamed_for_what_is_impossible_without_it() -> None:
    frame = feature("frame", missing="off")
    engine = feature("engine", off=toggle("engine", False, dislike=None))
    work = work_list([frame, engine], [task("cut", demands=["not frame", "not engine"])])
    strip = least_strip(work)
    assert strip.trouble[1:] == ("`cut` needs `frame` off (it is on and there is no way to change that)",)
    (found,) = wish_costs(work, strip)
    assert not found.blocks


def test_two_bans_of_which_either_would_do() -> None:
    # Past the radiator or past the wheel: with both banned, either one alone may be given up.
    base = pump_job(None)
    wheel = feature("wheel", off=toggle("wheel", False, 35, dislike=None), on_min=35)
    work = work_list([*(f for f in base.features.values() if f.id != "wheel"), wheel], base.tasks.values())
    strip = least_strip(work)
    assert strip.proof is Proof.NONE
    assert {line for line in strip.trouble if "never" in line} == {
        "`Take off the radiator` is never to be done, as you wish",
        "`Take off the wheel` is never to be done, as you wish",
    }
    assert [w.blocks for w in wish_costs(work, strip)] == [True, True]


@pytest.mark.parametrize(("seeds", "dear_least"), [(40, 3), pytest.param(400, 30, marks=pytest.mark.slow)])
def test_wish_costs_equal_exhaustive_search(seeds: int, dear_least: int) -> None:
    seen = blocked = dear = 0
    for seed in range(seeds):
        work = with_wishes(random_work(seed), seed)
        least = least_cost(work)
        for found, wish in zip(wish_costs(work, least_strip(work)), wishes_in(work), strict=True):
            without = least_cost(without_wish(work, wish))
            seen += 1
            assert found.blocks == (least is None and without is not None), seed
            blocked += found.blocks
            if least is None or without is None:
                assert found.cost is None, seed
                continue
            assert found.proved, seed
            assert found.cost == least - without, seed
            dear += found.cost > 0
    print(f"{seen} wishes: {dear} cost something, {blocked} make it impossible")
    assert seen >= seeds
    assert blocked
    assert dear > dear_least


def test_no_wish_no_cost_and_a_stop_is_heeded() -> None:
    plain = work_list([feature("lid")], [task("look", demands=["not lid"])])
    assert wish_costs(plain, least_strip(plain)) == ()
    work = pump_job(40)
    (found,) = wish_costs(work, least_strip(work), halt=Halt(asked=True))
    assert (found.cost, found.proved) == (None, False)
