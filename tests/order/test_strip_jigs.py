"""Parts that others must be fitted for though they go later, and parts that are in place but not yet tightened.

All expected costs and orders are worked out by hand.
"""

from __future__ import annotations

from brute_force import faults, least_cost
from worklists import feature, task, toggle, work_list

from planner.model.effects import Proof
from planner.model.plan import Strip
from planner.model.work import WorkList
from planner.order import least_strip


def lines(strip: Strip) -> list[str]:
    return [s.ref if s.on is None else f"{s.ref} {'on' if s.on else 'off'}" for s in strip.steps]


def jig_job(*, scrap: bool) -> WorkList:
    """The old tank is the jig for the new straps, and then it goes; the bed is made with it out of the way."""
    old = feature("old-tank", goal=False if scrap else None, on_min=25, off_min=15)
    tasks = [
        task("clean-bed", demands=["not old-tank"]),
        task("tack-straps", demands=["old-tank"]),
        task("weld-straps", demands=["not old-tank"], after=["tack-straps"]),
    ]
    return work_list([old], tasks)


def test_the_jig_goes_once_when_nothing_asks_for_it_before() -> None:
    # The straps are tacked while the tank is still there: it comes off once, and the bed is cleaned then.
    for scrap in (True, False):
        strip = least_strip(jig_job(scrap=scrap))
        assert (strip.proof, strip.cost) == (Proof.PROVED, 15)
        assert lines(strip)[:2] == ["tack-straps", "old-tank off"]


def test_the_jig_goes_back_when_the_work_before_it_needs_it_off() -> None:
    job = jig_job(scrap=True)
    tasks = [*job.tasks.values()][1:]
    first = task("clean-bed", demands=["not old-tank"])
    tasks[0] = task("tack-straps", demands=["old-tank"], after=["clean-bed"])
    strip = least_strip(work_list(job.features.values(), [first, *tasks]))
    # Off 15, back as the jig 25, off for good 15.
    assert (strip.proof, strip.cost) == (Proof.PROVED, 55)
    assert lines(strip) == [
        "old-tank off",
        "clean-bed",
        "old-tank on",
        "tack-straps",
        "old-tank off",
        "weld-straps",
    ]


def loose_part(name: str, in_min: int, tight_min: int, *, needs: tuple[str, ...] = ()) -> list:
    """A part in place, and tightened: it is tightened only in place, and leaves its place only loose."""
    place = feature(
        name,
        off=toggle(name, False, in_min, demands=[f"not {name}-tight", *needs]),
        on=toggle(name, True, in_min, demands=[f"not {name}-tight", *needs]),
    )
    tight = feature(
        f"{name}-tight",
        off=toggle(f"{name}-tight", False, tight_min, demands=[name]),
        on=toggle(f"{name}-tight", True, tight_min, demands=[name]),
    )
    return [place, tight]


def test_a_loosely_fitted_part_is_tightened_once() -> None:
    # Off for the cut; in place but loose for the line-up; tight at the end. One trip of each: 2 x 12 + 2 x 5.
    parts = loose_part("pipe", 12, 5)
    tasks = [
        task("cut", demands=["not pipe"]),
        task("line-up", demands=["pipe", "not pipe-tight"], after=["cut"]),
        task("leak-test", demands=["pipe!", "pipe-tight!"], after=["line-up"]),
    ]
    strip = least_strip(work_list(parts, tasks))
    assert (strip.proof, strip.cost) == (Proof.PROVED, 34)
    assert lines(strip) == [
        "pipe-tight off",
        "pipe off",
        "cut",
        "pipe on",
        "line-up",
        "pipe-tight on",
        "leak-test",
    ]


def test_two_loose_parts_are_lined_up_before_either_is_tightened() -> None:
    # Each pipe may be moved only while the other is loose: both loose, both off, both on, then both tight.
    parts = [
        *loose_part("front-pipe", 10, 4, needs=("not rear-pipe-tight",)),
        *loose_part("rear-pipe", 20, 6, needs=("not front-pipe-tight",)),
    ]
    tasks = [
        task("weld", demands=["not front-pipe", "not rear-pipe"]),
        task("line-up", demands=["front-pipe", "rear-pipe", "not front-pipe-tight", "not rear-pipe-tight"]),
    ]
    work = work_list(parts, tasks)
    strip = least_strip(work)
    assert (strip.proof, strip.cost) == (Proof.PROVED, 2 * (10 + 4 + 20 + 6))
    assert strip.cost == least_cost(work)
    order = lines(strip)
    assert order.index("line-up") < min(order.index("front-pipe-tight on"), order.index("rear-pipe-tight on"))


def test_a_jig_that_is_itself_in_the_way() -> None:
    # The bracket is drilled with the dummy engine in; the bracket comes off only past the dummy, which is fitted at
    # the start and goes for good. Drill first, then the dummy goes (30), the bracket off and on (2 x 8).
    dummy = feature("dummy", goal=False, off_min=30, on_min=40)
    bracket = feature(
        "bracket",
        off=toggle("bracket", False, 8, demands=["not dummy"]),
        on=toggle("bracket", True, 8, demands=["not dummy"]),
    )
    tasks = [task("weld", demands=["not bracket"]), task("drill", demands=["bracket", "dummy"])]
    work = work_list([dummy, bracket], tasks)
    strip = least_strip(work)
    assert (strip.proof, strip.cost) == (Proof.PROVED, 46)
    assert lines(strip) == ["drill", "dummy off", "bracket off", "weld", "bracket on"]
    # With the drilling after the welding the dummy goes in once more: 30 + 40 + 30 and the bracket's 16.
    again = work_list([dummy, bracket], [tasks[0], task("drill", demands=["bracket", "dummy"], after=["weld"])])
    later = least_strip(again)
    assert (later.proof, later.cost) == (Proof.PROVED, 116)
    assert faults(again, [(s.ref, s.on) for s in later.steps]) == []


def test_a_support_for_every_removal() -> None:
    # The gearbox comes off and goes back only on the jack; the jack is in the way of the drain: jack in 3, gearbox
    # off 50, jack out 2, drain; jack in 3, gearbox on 60, jack out 2.
    jack = feature("jack", start=False, goal=False, on_min=3, off_min=2)
    box = feature(
        "gearbox", off=toggle("gearbox", False, 50, demands=["jack"]), on=toggle("gearbox", True, 60, demands=["jack"])
    )
    work = work_list([jack, box], [task("drain", demands=["not gearbox", "not jack"])])
    strip = least_strip(work)
    assert (strip.proof, strip.cost) == (Proof.PROVED, 3 + 50 + 2 + 3 + 60 + 2)
