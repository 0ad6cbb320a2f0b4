"""What bears a load is left only with what takes the load in place, or with nothing to bear.

Common practice, no published source: a vehicle is not lowered onto a hub, arm or spring that is away; an engine or
gearbox is not let down on a mounting that is away; one that is out of the vehicle needs no jack. A vehicle without its
exhaust can be lowered.
"""

from __future__ import annotations

from dataclasses import replace

import pytest
from garage import vehicle
from workshop import part, shelf, worked

from planner.model.job import Change, OwnTask, TakeOff
from planner.model.vehicle import Freedom, Vehicle
from planner.model.work import Demand, WorkList
from planner.verify.inside import inside_faults

STANDS, GEARBOX, ENGINE = "state:on-stands", "state:gearbox-supported", "state:engine-supported"


def lifted(box: Freedom = Freedom.STAYS) -> Vehicle:
    """A chassis with an arm and its spring, a gearbox on its mounting behind an engine, and a silencer."""
    parts = [
        part("chassis-rail", "rail", (0, 0, 400), (2000, 60, 80), on=None),
        part("wishbone", "arm", (-500, 300, 300), (60, 300, 40), on="rail"),
        part("coil-spring", "spring", (-500, 300, 500), (90, 90, 250), on="rail"),
        part("gearbox-mount", "mount", (500, -150, 400), (60, 100, 60), on="rail"),
        part("gearbox", "box", (300, -300, 450), (400, 200, 200), on="mount", freedom=box),
        part("engine-mount", "engine-rest", (-300, -150, 400), (60, 100, 60), on="rail"),
        part("engine", "engine", (-200, -300, 500), (500, 250, 300), on="engine-rest"),
        part("silencer", "silencer", (700, 150, 300), (300, 120, 100), on="rail"),
    ]
    return vehicle(parts)


def ways_out(work: WorkList, state: str) -> list[set[tuple[str, bool]]]:
    """What each way of leaving a state asks for."""
    off = work.features[state].turn_off
    assert off is not None
    return [{(d.feature, d.on) for d in way} for way in off.ways]


UNDER = OwnTask(id="look", title="Look along the rail", minutes=5, conditions=("on-stands",))


@pytest.mark.parametrize("away", ["arm", "spring"])
def test_the_vehicle_is_not_lowered_without_what_it_stands_on(away: str) -> None:
    work, _ = worked(lifted(), TakeOff(part=away), tasks=(UNDER,))
    assert all((away, True) in way for way in ways_out(work, STANDS))
    assert ways_out(work, STANDS)
    assert all((away, True) in way for way in ways_out(work, "state:spring-held"))


def test_it_is_lowered_without_its_exhaust() -> None:
    work, _ = worked(lifted(), TakeOff(part="silencer"), tasks=(UNDER,))
    assert ways_out(work, STANDS) == []


def test_a_gearbox_that_stays_is_let_down_on_its_mounting() -> None:
    work, _ = worked(lifted(), TakeOff(part="mount"), tasks=(UNDER,))
    assert ways_out(work, GEARBOX) == [{("mount", True)}]


def test_one_that_comes_out_needs_no_jack_while_it_is_out() -> None:
    work, _ = worked(lifted(Freedom.COMES_OFF), TakeOff(part="mount"), tasks=(UNDER,))
    assert ways_out(work, GEARBOX) == [{("box", True), ("mount", True)}, {("box", False)}]


def test_an_engine_is_let_down_with_its_mounting_and_what_is_bolted_to_it() -> None:
    work, _ = worked(lifted(), TakeOff(part="engine-rest"), tasks=(UNDER,))
    assert ways_out(work, ENGINE) == [{("engine-rest", True)}]
    work, _ = worked(lifted(Freedom.COMES_OFF), TakeOff(part="box"), tasks=(UNDER,))
    assert ways_out(work, ENGINE) == [{("box", True)}]


@pytest.mark.parametrize(
    ("change", "state"),
    [
        (TakeOff(part="arm"), STANDS),
        (TakeOff(part="spring"), "state:spring-held"),
        (TakeOff(part="mount"), GEARBOX),
        (TakeOff(part="engine-rest"), ENGINE),
    ],
)
def test_the_checker_tells_a_load_let_down_on_nothing(change: Change, state: str) -> None:
    v = lifted()
    work, knockons = worked(v, change, tasks=(UNDER,))
    assert list(inside_faults(v, knockons, work, shelf())) == []
    known = work.features[state]
    assert known.turn_off is not None
    spoilt = replace(known, turn_off=replace(known.turn_off, ways=()))
    told = list(inside_faults(v, knockons, replace(work, features={**work.features, state: spoilt}), shelf()))
    assert [t.split("` ")[0] for t in told] == [f"`{state}"]


def test_the_vehicle_is_neither_lifted_nor_lowered_while_its_engine_hangs_on_a_jack() -> None:
    """Common practice, no published source: the jack stands on the ground and the vehicle moves past it."""
    v = lifted()
    work, knockons = worked(v, TakeOff(part="engine-rest"), TakeOff(part="silencer"), tasks=(UNDER,))
    stands = work.features[STANDS]
    assert all(Demand(feature=ENGINE, on=False) in t.demands for t in stands.toggles)
    assert len(stands.toggles) == 2
    assert stands.turn_on is not None
    bare = replace(stands, turn_on=replace(stands.turn_on, demands=()))
    told = list(inside_faults(v, knockons, replace(work, features={**work.features, STANDS: bare}), shelf()))
    assert told == [f"`{STANDS}` may be entered or left while `{ENGINE}` holds"]
