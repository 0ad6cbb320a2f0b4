"""Reasons why there is no order: impossible together, possible without any one of them."""

from __future__ import annotations

from brute_force import least_cost
from worklists import feature, random_work, task, toggle, with_wishes, work_list

from planner.order import least_strip
from planner.order.strip_trouble import Sort, only, trouble_of, wishes_of


def test_trouble_is_impossible_and_has_none_to_spare() -> None:
    seen = 0
    for seed in range(160):
        work = random_work(seed)
        if least_cost(work) is not None:
            continue
        seen += 1
        found = trouble_of(work)
        assert least_cost(only(work, found)) is None, seed
        for wish in found:
            assert least_cost(only(work, [w for w in found if w != wish])) is not None, (seed, wish)
    assert seen > 40


def test_all_wishes_make_the_same_work_list() -> None:
    for seed in range(100):
        work = random_work(seed)
        assert least_cost(only(work, wishes_of(work))) == least_cost(work), seed


def test_ring_of_parts_is_told_in_words() -> None:
    pump = feature("pump", off=toggle("pump", False, demands=["not guard"]))
    guard = feature("guard", off=toggle("guard", False, demands=["not pump"]))
    work = work_list([pump, guard, feature("seat")], [task("bore", demands=["not pump", "not seat"]), task("sit")])
    assert least_strip(work).trouble == (
        "these cannot all hold; leave out any one of them and there is an order:",
        "`Take off the pump` needs `guard` off",
        "`Take off the guard` needs `pump` off",
        "`bore` needs `pump` off",
    )


def test_missing_toggle_is_told_in_words() -> None:
    work = work_list([feature("frame", missing="off")], [task("cut", demands=["not frame"])])
    assert least_strip(work).trouble[1:] == ("`cut` needs `frame` off (it is on and there is no way to change that)",)


def test_ring_of_tasks_is_told_in_words() -> None:
    work = work_list([], [task("weld", after=["grind"]), task("grind", after=["weld"]), task("paint", after=["weld"])])
    assert set(least_strip(work).trouble[1:]) == {"`weld` comes after `grind`", "`grind` comes after `weld`"}


def test_goal_and_last_are_told_in_words() -> None:
    work = work_list([feature("lamp", start=False, goal=False)], [task("aim", demands=["lamp!"])])
    assert set(least_strip(work).trouble[1:]) == {
        "`aim` needs `lamp` on, not to be changed again",
        "`lamp` must be off at the end",
    }


def test_ways_are_told_in_words() -> None:
    stuck = [feature(p, missing="off") for p in ("roof", "door", "floor")]
    engine = feature("engine", off=toggle("engine", False, ways=[["not roof"], ["not door", "not floor"]]))
    work = work_list([*stuck, engine], [task("strip", demands=["not engine"])])
    assert least_strip(work).trouble[1:] == (
        "`Take off the engine` needs one of: `roof` off; or `door` off and `floor` off",
        "`strip` needs `engine` off",
    )


def test_a_part_needed_both_in_and_out() -> None:
    tank = feature("tank")
    work = work_list([tank, feature("seat")], [task("weld", demands=["not tank", "tank", "not seat"])])
    assert set(least_strip(work).trouble[1:]) == {"`weld` needs `tank` off", "`weld` needs `tank` on"}


def test_a_part_kept_in_for_one_task_and_out_for_good_for_another() -> None:
    work = work_list(
        [feature("tank"), feature("seat")],
        [task("test", demands=["not tank!"]), task("fit-up", demands=["tank"], after=["test"])],
    )
    assert set(least_strip(work).trouble[1:]) == {
        "`test` needs `tank` off, not to be changed again",
        "`fit up` needs `tank` on",
        "`fit up` comes after `test`",
    }


def test_a_ring_of_demands_over_three_parts() -> None:
    ring = [
        feature(p, off=toggle(p, False, demands=[f"not {other}"]))
        for p, other in (("pump", "guard"), ("guard", "belt"), ("belt", "pump"))
    ]
    lids = [feature(f"lid-{i}") for i in range(20)]
    looks = [task(f"look-{i}", demands=[f"not lid-{i}"]) for i in range(20)]
    work = work_list([*lids, *ring], [*looks, task("bore", demands=["not pump"])])
    assert set(least_strip(work).trouble[1:]) == {
        "`Take off the pump` needs `guard` off",
        "`Take off the guard` needs `belt` off",
        "`Take off the belt` needs `pump` off",
        "`bore` needs `pump` off",
    }


def test_trouble_with_wishes_has_none_to_spare() -> None:
    seen = banned = 0
    for seed in range(300):
        work = with_wishes(random_work(seed), seed)
        if least_cost(work) is not None:
            continue
        freed = only(work, [w for w in wishes_of(work) if w.sort is not Sort.NEVER])
        if least_cost(freed) is None and seed % 5:
            continue
        seen += 1
        found = trouble_of(work)
        assert least_cost(only(work, found)) is None, seed
        for wish in found:
            assert least_cost(only(work, [w for w in found if w != wish])) is not None, (seed, wish)
        bans = [w for w in found if w.sort is Sort.NEVER]
        # A ban is named when nothing but bans stands in the way.
        assert bans or least_cost(freed) is None, seed
        banned += bool(bans)
    assert seen > 20
    assert banned > 3
