"""What is done in which order round fuel, a battery, a lifted vehicle and a handbrake.

Common practice, no published source: nobody drills or grinds while petrol runs, a spark is made only when every fuel
joint was seen dry, a joint that weeps is undone again from below, and whoever drives knows that the handbrake holds.
"""

from __future__ import annotations

from dataclasses import replace

import pytest
from garage import vehicle
from workshop import bracket, first_of, hole, link, part, shelf, worked

from planner.model.catalog import Work
from planner.model.job import Add, Change, Job, OwnTask, TakeOff
from planner.model.vehicle import System, Vehicle
from planner.model.work import Demand, Task, Toggle, WorkList
from planner.verify import check_gates
from planner.verify.circuits import opening_faults
from planner.verify.inside import inside_faults
from planner.verify.near_fuel import near_fuel_faults

CAPPED, DRAINED, FUEL = "state:fuel-pipe-capped", "state:tank-drained", "circuit:fuel"
DEAD, STANDS = "state:battery-isolated", "state:on-stands"
STAY = (-60.0, 700.0, 300.0)
"""A place on the front of the bulkhead, 120 mm before the tank behind it."""


def cab(tank_x_mm: float = 160.0) -> Vehicle:
    """A bulkhead with a horn before it, behind it a tank with a pump, a pipe between them, and a battery."""
    parts = [
        part("bulkhead", "bulkhead", (0, 0, 500), (20, 2000, 1000), on=None),
        part("fuel-tank", "tank", (tank_x_mm, 700, 300), systems=("fuel",), ports_mm={"out": (0, -50, 0)}),
        part("fuel-pump", "pump", (500, 0, 900), systems=("fuel",), ports_mm={"in": (0, 50, 0)}),
        part("battery", "battery", (200, -700, 900), systems=("wiring",)),
        part("horn", "horn", (-60, -700, 250)),
    ]
    pipe = link("fuel-hose", "pipe", "tank.out", "pump.in", system="fuel")
    systems = [
        System(id="fuel", kind="fuel", name="fuel"),
        System(id="wiring", kind="low-voltage-wiring", name="wiring"),
    ]
    return vehicle(parts, links=[pipe], systems=systems)


def braked() -> Vehicle:
    """A cylinder, a pipe and a union of one brake circuit, and a handbrake lever with its cable to a drum."""
    parts = [
        part("bulkhead", "bulkhead", (0, 0, 500), (20, 2000, 1000), on=None),
        part("brake-master-cylinder", "cylinder", (60, 300, 500), systems=("brakes",), ports_mm={"out": (0, -50, 0)}),
        part("brake-union", "union", (60, -300, 500), systems=("brakes",), ports_mm={"in": (0, 50, 0)}),
        part("handbrake-lever", "lever", (60, 700, 300), systems=("hand",)),
        part("brake-drum", "drum", (60, -700, 300), systems=("hand",)),
    ]
    links = [
        link("brake-pipe", "pipe", "cylinder.out", "union.in", system="brakes"),
        link("handbrake-cable", "cable", "lever", "drum", system="hand"),
    ]
    systems = [
        System(id="brakes", kind="hydraulic-brake", name="brakes"),
        System(id="hand", kind="handbrake", name="handbrake"),
    ]
    return vehicle(parts, links=links, systems=systems)


MADE = Add(component=bracket("stay", STAY))
"""A bracket whose holes are drilled in the bulkhead near the tank."""
UNDER = OwnTask(id="look", title="Look along the rail", minutes=5, conditions=("on-stands",))


def drilled(work: WorkList, subject: str) -> list[Task]:
    """Steps that drill the vehicle for a part or cut."""
    dead = Demand(feature=DEAD, on=True)
    found = [t for i, t in work.tasks.items() if i.rpartition(".")[0] == subject and t.work is Work.DRILLING]
    return [t for t in found if dead in t.demands]


def off_of(work: WorkList, feature: str) -> Toggle:
    found = work.features[feature].turn_off
    assert found is not None
    return found


def with_off(work: WorkList, feature: str, **other: object) -> WorkList:
    """The list with one toggle spoilt."""
    known = work.features[feature]
    spoilt = replace(known, turn_off=replace(off_of(work, feature), **other))  # type: ignore[arg-type]
    return replace(work, features={**work.features, feature: spoilt})


def with_task(work: WorkList, task: str, **other: object) -> WorkList:
    """The list with one task spoilt."""
    return replace(work, tasks={**work.tasks, task: replace(work.tasks[task], **other)})  # type: ignore[arg-type]


@pytest.mark.parametrize("change", [hole(), TakeOff(part="tank"), TakeOff(part="pump")])
def test_nothing_is_done_while_fuel_is_let_out_or_filled(change: Change) -> None:
    work, _ = worked(cab(), change)
    states = {CAPPED, DRAINED} & set(work.features)
    assert states
    for state in (*states, *({FUEL} & set(work.features))):
        assert all(t.apart for t in work.features[state].toggles), state
    for state in states:
        enter = work.features[state].turn_on
        assert enter is not None
        assert "fuel-safe" in enter.checks


def test_the_checker_tells_fuel_let_out_beside_other_work() -> None:
    work, knockons = worked(cab(), TakeOff(part="pump"))
    assert list(opening_faults(cab(), work, shelf())) == []
    told = [*opening_faults(cab(), with_off(work, FUEL, apart=False), shelf())]
    told += inside_faults(cab(), knockons, with_off(work, CAPPED, apart=False), shelf())
    assert told == [
        f"`{FUEL}` may be opened or closed beside other work",
        f"`{CAPPED}` may be entered or left beside other work",
    ]


def test_a_joint_is_undone_when_tank_and_hoses_are_empty() -> None:
    """The hoses run out before the joint is opened, not after it."""
    work, _ = worked(cab(), TakeOff(part="tank"), MADE)
    asked = {d.feature for d in off_of(work, FUEL).demands if d.on}
    assert {CAPPED, DRAINED} <= asked
    less = tuple(d for d in off_of(work, FUEL).demands if d.feature != CAPPED)
    told = list(opening_faults(cab(), with_off(work, FUEL, demands=less), shelf()))
    assert told == [f"`{FUEL}` may be opened while `fuel-pipe-capped` does not hold"]


@pytest.mark.parametrize("change", [MADE, TakeOff(part="pump")])
def test_the_battery_is_joined_only_when_no_fuel_joint_drips(change: Change) -> None:
    """A hole near the tank has it drained and filled though no circuit is opened; the look is as needful."""
    work, knockons = worked(cab(), change)
    check = work.tasks["check.fuel-leak"]
    assert {Demand(feature=s, on=False, last=True) for s in {CAPPED, DRAINED} & set(work.features)} <= {*check.demands}
    assert CAPPED in work.features
    assert check.apart
    assert "check.fuel-leak" in off_of(work, DEAD).after
    assert "check.fuel-leak" in first_of(work, "first-start")
    assert "fuel-pressed" not in work.checkpoints
    assert check_gates(cab(), knockons, work, shelf()) == ()
    after = tuple(t for t in off_of(work, DEAD).after if t != "check.fuel-leak")
    told = check_gates(cab(), knockons, with_off(work, DEAD, after=after), shelf())
    assert any(f"`{DEAD}` may be left before `check.fuel-leak`" in t for t in told)


def test_the_checker_misses_the_look_after_a_filling() -> None:
    work, knockons = worked(cab(), MADE)
    rest = {i: c for i, c in work.checkpoints.items() if i != "fuel-leak"}
    told = check_gates(cab(), knockons, replace(work, checkpoints=rest), shelf())
    assert any("rule `fuel-leak` is called for (brought about `fuel-pipe-capped`" in t for t in told)


def test_a_battery_is_clamped_before_it_is_joined() -> None:
    work, _ = worked(cab(), TakeOff(part="battery"))
    assert "check.battery-secure" in off_of(work, DEAD).after


def test_a_hole_is_drilled_with_the_tank_off_where_that_comes_off_anyway() -> None:
    change, job = TakeOff(part="tank"), Job(id="job", name="job", changes=(TakeOff(part="tank"), hole()))
    work, knockons = worked(cab(), change, hole())
    away = Demand(feature="tank", on=False)
    assert drilled(work, "slot")
    for task in drilled(work, "slot"):
        assert away in task.demands
        assert not any("tank (" in n for n in task.notes)
    assert list(near_fuel_faults(cab(), knockons, work, shelf(), job)) == []
    for task in drilled(work, "slot"):
        there = with_task(work, task.id, demands=tuple(d for d in task.demands if d != away))
        told = list(near_fuel_faults(cab(), knockons, there, shelf(), job))
        assert told == [f"`{task.id}` is drilled near `tank` and may be with that in place, though it comes off"]


@pytest.mark.parametrize(("tank_x_mm", "tried"), [(70.0, True), (160.0, False)])
def test_holes_marked_through_with_the_tank_in_place_are_drilled_with_it_there(
    tank_x_mm: float, *, tried: bool
) -> None:
    """A bracket is tried with its neighbours, such as a tank 30 mm off, in place: that is not taken off once more."""
    changes = (TakeOff(part="tank"), MADE)
    work, knockons = worked(cab(tank_x_mm), *changes)
    job = Job(id="job", name="job", changes=changes)
    assert list(near_fuel_faults(cab(tank_x_mm), knockons, work, shelf(), job)) == []
    [task] = drilled(work, "stay")
    ahead = [work.tasks[i] for i in first_of(work, task.id)]
    assert any(Demand(feature="tank", on=True) in t.demands for t in ahead) is tried
    assert (Demand(feature="tank", on=False) in task.demands) is not tried
    assert any("tank (" in n for n in task.notes) is tried


def test_the_checker_misses_the_look_behind_a_hole() -> None:
    work, knockons = worked(cab(), hole())
    job = Job(id="job", name="job", changes=(hole(),))
    [task] = drilled(work, "slot")
    assert task.title.startswith("Look behind and feel by hand, then ")
    told = list(near_fuel_faults(cab(), knockons, with_task(work, task.id, notes=()), shelf(), job))
    assert told == [f"`{task.id}` is drilled near `pipe` and does not say that it is to be looked for"]


def test_joints_are_watched_before_a_vehicle_that_was_lifted_is_lowered() -> None:
    lifted, knockons = worked(braked(), TakeOff(part="pipe"), tasks=(UNDER,))
    up = Demand(feature=STANDS, on=True)
    leak = lifted.tasks["check.brake-leak"]
    assert up in leak.demands
    assert check_gates(braked(), knockons, lifted, shelf()) == ()
    low = with_task(lifted, leak.id, demands=tuple(d for d in leak.demands if d != up))
    told = check_gates(braked(), knockons, low, shelf())
    assert told == (f"`{leak.id}` may be made without `{STANDS}`, in which rule `brake-leak` wants it made",)


def test_nothing_is_lifted_for_fuel_joints_alone() -> None:
    work, _ = worked(cab(), TakeOff(part="pump"))
    assert STANDS not in work.features
    assert all(d.feature != STANDS for d in work.tasks["check.fuel-leak"].demands)


def test_the_handbrake_holds_before_anyone_drives_fast_and_is_let_off_no_sooner_than_it_must() -> None:
    work, _ = worked(braked(), TakeOff(part="pipe"), TakeOff(part="cable"))
    assert "check.handbrake-holds" in first_of(work, "check.brake-proof-road")
    assert "check.brake-proof-walking" in first_of(work, "check.handbrake-holds")
    assert off_of(work, "circuit:hand").late
