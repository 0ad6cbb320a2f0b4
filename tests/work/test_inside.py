"""Fuel is made safe in a way that is possible with what is there just then (common practice, no published source)."""

from __future__ import annotations

from dataclasses import replace

import pytest
from garage import vehicle
from workshop import link, part, scuttle, shelf, worked

from planner.model.effects import Proof
from planner.model.job import Change, Move, OwnTask, Remove, TakeOff
from planner.model.shapes import Pose
from planner.model.vehicle import System, Vehicle
from planner.model.work import Demand, Toggle, WorkList
from planner.order import least_strip
from planner.verify.circuits import opening_faults
from planner.verify.inside import inside_faults

CAPPED, DRAINED, FUEL = "state:fuel-pipe-capped", "state:tank-drained", "circuit:fuel"


def fuelled() -> Vehicle:
    """A bulkhead with a tank, a tap under it, a pump, and a pipe between tap and pump."""
    parts = [
        part("bulkhead", "bulkhead", (0, 0, 500), (20, 2000, 1000), on=None),
        part("fuel-tank", "tank", (200, 0, 800), (200, 300, 200), systems=("fuel",)),
        part(
            "fuel-tap", "tap", (200, 0, 650), (40, 40, 40), on="tank", systems=("fuel",), ports_mm={"out": (0, 20, 0)}
        ),
        part("fuel-pump", "pump", (60, 400, 300), systems=("fuel",), ports_mm={"in": (0, -50, 0)}),
        part("horn", "horn", (60, -700, 250)),
    ]
    pipe = link("fuel-hose", "pipe", "tap.out", "pump.in", system="fuel")
    return vehicle(parts, links=[pipe], systems=[System(id="fuel", kind="fuel", name="fuel")])


MOVED = Move(part="tank", to=Pose(at_mm=(200.0, -30.0, 800.0)))
SAFE = OwnTask(id="file", title="File the bracket", minutes=10, conditions=("fuel-pipe-capped",))


def toggles(work: WorkList, feature: str) -> tuple[Toggle, Toggle]:
    on, off = work.features[feature].turn_on, work.features[feature].turn_off
    assert on is not None
    assert off is not None
    return on, off


@pytest.mark.parametrize("change", [MOVED, TakeOff(part="tank"), TakeOff(part="tap")])
def test_with_the_tank_or_tap_off_no_tap_is_closed_and_the_tank_is_empty_first(change: Change) -> None:
    work, _ = worked(fuelled(), change, tasks=(SAFE,))
    capped, uncapped = toggles(work, CAPPED)
    assert Demand(feature=DRAINED, on=True) in capped.demands
    assert Demand(feature=DRAINED, on=True) in uncapped.demands
    assert "close the tap" not in capped.title.lower()
    for word in ("drained", "cap every open end", "outside", "air the place"):
        assert word in capped.title
    opened = toggles(work, FUEL)[1]
    assert Demand(feature=DRAINED, on=True) in opened.demands
    assert "close the tap" not in opened.title.lower()


def test_with_tank_and_tap_left_alone_the_tap_is_closed_and_the_tank_stays_full() -> None:
    work, _ = worked(fuelled(), TakeOff(part="pump"), tasks=(SAFE,))
    assert DRAINED not in work.features
    assert "Close the tap" in toggles(work, CAPPED)[0].title


def test_no_fuel_joint_is_undone_before_the_fuel_is_made_safe_and_the_air_is_smelt() -> None:
    """Common practice, no published source: a pipe under a full tank with its tap open runs out over the floor."""
    v = fuelled()
    work, found = worked(v, TakeOff(part="pump"))
    opened = toggles(work, FUEL)[1]
    assert DRAINED not in work.features
    assert Demand(feature=CAPPED, on=True) in opened.demands
    assert "fuel-safe" in toggles(work, CAPPED)[0].checks
    assert "or drain" not in opened.title
    assert list(opening_faults(v, work, shelf())) == []
    unsafe = tuple(d for d in opened.demands if d.feature != CAPPED)
    bad = replace(work.features[FUEL], turn_off=replace(opened, demands=unsafe))
    said = list(opening_faults(v, replace(work, features=work.features | {FUEL: bad}), shelf()))
    assert said == ["`circuit:fuel` may be opened while `fuel-pipe-capped` does not hold"]
    assert not least_strip(work).trouble
    assert found.proof is Proof.PROVED


def test_a_drained_tank_makes_it_safe_without_that() -> None:
    v = fuelled()
    work, _ = worked(v, TakeOff(part="tank"))
    assert CAPPED not in work.features
    assert Demand(feature=DRAINED, on=True) in toggles(work, FUEL)[1].demands
    assert list(opening_faults(v, work, shelf())) == []


def test_the_tank_is_filled_when_all_is_in_place_and_joined() -> None:
    work, _ = worked(fuelled(), MOVED, tasks=(SAFE,))
    filled = toggles(work, DRAINED)[1]
    assert Demand(feature=FUEL, on=True) in filled.demands
    assert Demand(feature=CAPPED, on=False) in filled.demands
    assert Demand(feature=CAPPED, on=False) in toggles(work, FUEL)[0].demands
    for left in (filled, toggles(work, CAPPED)[1]):
        ways = [{d.feature for d in way if d.on} for way in left.ways]
        assert any({"tank", "tap"} <= way for way in ways)
        assert any({"tank@new", "tap@new"} <= way for way in ways)
        assert all({"tank", "tap"} <= way or {"tank@new", "tap@new"} <= way for way in ways)


def test_the_drip_test_is_made_with_fuel_in_the_tank() -> None:
    work, _ = worked(fuelled(), MOVED)
    assert Demand(feature=DRAINED, on=False, last=True) in work.tasks["check.fuel-leak"].demands


def test_no_tank_is_filled_that_is_gone() -> None:
    v = fuelled()
    gone = [Remove(part=i) for i in ("tank", "tap", "pump", "pipe")]
    work, _ = worked(v, *gone)
    assert "no tank is there" in toggles(work, DRAINED)[1].title
    stays, _ = worked(v, MOVED)
    assert "fill the tank again" in toggles(stays, DRAINED)[1].title


def test_a_job_without_fuel_asks_nothing_of_it() -> None:
    work, _ = worked(scuttle(), TakeOff(part="horn"))
    assert CAPPED not in work.features
    assert DRAINED not in work.features


def spoilt(work: WorkList, feature: str, *, on: bool) -> WorkList:
    """The list with nothing asked of the change of a feature."""
    known = work.features[feature]
    bare = replace(toggles(work, feature)[0 if on else 1], demands=(), ways=())
    changed = replace(known, turn_on=bare) if on else replace(known, turn_off=bare)
    return replace(work, features={**work.features, feature: changed})


@pytest.mark.parametrize(
    ("feature", "on"), [(CAPPED, True), (CAPPED, False), (DRAINED, False), (FUEL, True), (FUEL, False)]
)
def test_the_checker_tells_each_that_is_left_out(feature: str, *, on: bool) -> None:
    v = fuelled()
    work, knockons = worked(v, MOVED, tasks=(SAFE,))
    assert list(inside_faults(v, knockons, work, shelf())) == []
    assert list(inside_faults(v, knockons, spoilt(work, feature, on=on), shelf()))
