"""Holes near a tank, a fuel line or a battery (common practice, no published source; the reach is a starting guess)."""

from __future__ import annotations

from dataclasses import replace

import pytest
from garage import vehicle
from workshop import bracket, hole, link, part, shelf, worked

from planner.model.catalog import Work
from planner.model.job import Add, AddLink, Change, Job, Move
from planner.model.shapes import Pose, Vec
from planner.model.vehicle import System, Vehicle
from planner.model.work import Task, WorkList
from planner.verify.near_fuel import near_fuel_faults

REACH_MM = shelf().hole_shy_mm


def cab(tank_x_mm: float = 160.0, battery_at: Vec = (200.0, -700.0, 900.0), pump_x_mm: float = 500.0) -> Vehicle:
    """A bulkhead, in front of it (x less) a horn, behind it a tank with a pump; 20 mm of sheet from x -10 to 10."""
    parts = [
        part("bulkhead", "bulkhead", (0, 0, 500), (20, 2000, 1000), on=None),
        part("fuel-tank", "tank", (tank_x_mm, 700, 300), systems=("fuel",), ports_mm={"out": (0, -50, 0)}),
        part("fuel-pump", "pump", (pump_x_mm, 0, 900), systems=("fuel",), ports_mm={"in": (0, 50, 0)}),
        part("battery", "battery", battery_at, systems=("wiring",)),
        part("horn", "horn", (-60, -700, 250)),
    ]
    pipe = link("fuel-hose", "pipe", "tank.out", "pump.in", system="fuel")
    systems = [
        System(id="fuel", kind="fuel", name="fuel"),
        System(id="wiring", kind="low-voltage-wiring", name="wiring"),
    ]
    return vehicle(parts, links=[pipe], systems=systems)


def holers(work: WorkList, subject: str) -> list[Task]:
    return [t for i, t in work.tasks.items() if i.startswith(f"{subject}.") and t.work is Work.DRILLING]


def states(task: Task) -> set[str]:
    return {d.feature.removeprefix("state:") for d in task.demands if d.on and d.feature.startswith("state:")}


def bracket_at(y_mm: float) -> Add:
    return Add(component=part("horn", "second-horn", (-60, y_mm, 300)))


def test_a_hole_behind_which_a_tank_hides_waits_for_an_empty_tank_and_begins_with_a_look() -> None:
    """From the new horn's rear face at x -10 to the tank's front face at x 110 there are 120 mm, the sheet between."""
    work, knockons = worked(cab(), bracket_at(700))
    assert knockons.near_holes["second-horn"]["tank"] == pytest.approx(120.0)
    drilled = holers(work, "second-horn")
    assert drilled
    for task in drilled:
        assert {"tank-drained", "fuel-pipe-capped", "battery-isolated"} <= states(task)
        assert any("tank (120 mm away" in c and "board between" in c for c in task.cautions)
        assert task.title.startswith("Look behind and feel by hand, then drill ")
        assert "tank (120 mm away" in task.notes[0]
        assert "Smell for petrol at floor height" in task.notes
    assert "fuel-safe" in work.checkpoints


@pytest.mark.parametrize(("more_mm", "told"), [(REACH_MM - 120.5, True), (REACH_MM - 119.5, False)])
def test_the_reach_is_that_of_the_catalog(more_mm: float, *, told: bool) -> None:
    work, knockons = worked(cab(160.0 + more_mm), bracket_at(700))
    assert ("second-horn" in knockons.near_holes) is told
    assert all(t.title.startswith("Look") is told for t in holers(work, "second-horn"))
    assert all(("tank-drained" in states(t)) is told for t in holers(work, "second-horn"))


def test_a_cut_near_a_pump_alone_leaves_the_tank_full() -> None:
    """From the slot's rear face at x 10 to the pump's front face at x 145 there are 135 mm; the tank is far off."""
    work, knockons = worked(cab(pump_x_mm=195.0), hole((0, 0, 900)))
    assert knockons.near_holes["slot"]["pump"] == pytest.approx(135.0)
    assert holers(work, "slot")
    for task in holers(work, "slot"):
        assert "pump (135 mm away" in task.notes[0]
        assert "fuel-pipe-capped" in states(task)
        assert "tank-drained" not in states(task)


def test_what_comes_off_for_the_cut_is_made_safe_and_not_looked_for() -> None:
    """At 40 mm the pump is in the working room of the cut."""
    work, knockons = worked(cab(pump_x_mm=100.0), hole((0, 0, 900)))
    assert knockons.near_holes["slot"]["pump"] == pytest.approx(40.0)
    assert all("pump (" not in line for t in work.tasks.values() for line in (t.title, *t.notes))
    assert all("fuel-pipe-capped" in states(t) for t in holers(work, "slot"))


def test_a_battery_behind_the_panel_is_named_and_asks_nothing_of_the_fuel() -> None:
    work, knockons = worked(cab(battery_at=(100.0, -100.0, 300.0)), bracket_at(-100))
    assert set(knockons.near_holes["second-horn"]) == {"battery"}
    for task in holers(work, "second-horn"):
        assert "battery-isolated" in states(task)
        assert "tank-drained" not in states(task)
        assert any("battery (60 mm away" in c for c in task.cautions)
        assert not any("Smell" in line for line in task.notes)


def test_a_part_that_is_moved_is_drilled_for_with_the_same_care() -> None:
    work, knockons = worked(cab(), Move(part="horn", to=Pose(at_mm=(-60.0, 700.0, 300.0))))
    assert "tank" in knockons.near_holes["horn"]
    drilled = holers(work, "horn")
    assert drilled
    assert all("tank-drained" in states(t) for t in drilled)


def test_a_part_is_no_neighbour_of_its_own_holes() -> None:
    work, knockons = worked(cab(), Move(part="tank", to=Pose(at_mm=(160.0, 760.0, 300.0))))
    assert "tank" not in knockons.near_holes.get("tank", {})
    assert "tank@new" not in knockons.near_holes.get("tank", {})
    assert all("has near it: tank" not in c for t in work.tasks.values() for c in t.cautions)


def wired_cab() -> Vehicle:
    """A lamp behind the bulkhead: its wire from the horn in front goes through the sheet 50 mm inboard of the tank."""
    v = cab()
    lamp = part("lamp", "lamp", (500, 300, 650), ports_mm={"in": (-50, 0, 0)})
    return replace(v, components={**v.components, "lamp": lamp})


WIRE = AddLink(
    link=link("wire", "feed", "horn", "lamp.in", via_mm=((-60, 600, 300), (60, 600, 300)), passes=("bulkhead",))
)
MADE = Add(component=bracket("stay", (-60, 700, 300)))


@pytest.mark.parametrize("change", [bracket_at(700), hole((0, 700, 300)), MADE, WIRE])
def test_the_checker_tells_a_hole_drilled_with_the_tank_full(change: Change) -> None:
    """What is made is drilled at the bench with the tank full, what holds it and what a wire goes through is not."""
    v = wired_cab() if change is WIRE else cab()
    work, knockons = worked(v, change)
    job = Job(id="job", name="job", changes=(change,))
    assert list(near_fuel_faults(v, knockons, work, shelf(), job)) == []
    full = {
        i: replace(t, demands=tuple(d for d in t.demands if d.feature != "state:tank-drained"))
        for i, t in work.tasks.items()
    }
    found = list(near_fuel_faults(v, knockons, replace(work, tasks=full), shelf(), job))
    assert found
    assert all("tank-drained" in f for f in found)
