"""Holes that what goes for good leaves in a panel are closed (common practice, no published source)."""

from __future__ import annotations

from dataclasses import replace

import pytest
from garage import vehicle
from workshop import link, part, shelf, worked

from planner.model.catalog import When
from planner.model.job import Add, AddLink, Change, Remove, Replace
from planner.model.shapes import Vec
from planner.model.vehicle import Component, System, Vehicle
from planner.model.work import Demand, Task, WorkList
from planner.verify import check_gates
from planner.verify.called import events_of

SEALED = "check.bulkhead-sealed"


def shed() -> Vehicle:
    """A firewall with a horn on it and a cable through it between a pedal and a lever; a rail below with a horn."""
    parts = [
        part("firewall", "firewall", (0, 0, 500), (20, 2000, 1000), on=None),
        part("chassis-rail", "rail", (0, 0, -100), (400, 80, 80), on=None),
        part("horn", "horn", (-60, 700, 250)),
        part("horn", "rail-horn", (0, 0, -10), on="rail"),
        part("clutch-pedal", "pedal", (200, 0, 500), on="firewall", systems=("clutch",), ports_mm={"eye": (-50, 0, 0)}),
        part(
            "clutch-release-lever",
            "lever",
            (-400, 0, 500),
            on="rail",
            systems=("clutch",),
            ports_mm={"eye": (50, 0, 0)},
        ),
    ]
    cable = link("clutch-cable", "cable", "pedal.eye", "lever.eye", system="clutch", passes=("firewall",))
    placed = [replace(p, mounted_on="firewall") if p.mounted_on == "bulkhead" else p for p in parts]
    return vehicle(placed, links=[cable], systems=[System(id="clutch", kind="cable-clutch", name="clutch")])


def closing(work: WorkList, subject: str) -> list[Task]:
    return [t for i, t in work.tasks.items() if i.startswith(f"{subject}.firewall.left")]


@pytest.mark.parametrize("gone", ["horn", "cable"])
def test_what_goes_for_good_has_its_holes_closed_before_the_engine_runs(gone: str) -> None:
    work, _ = worked(shed(), Remove(part=gone))
    (task,) = closing(work, gone)
    assert Demand(feature=gone, on=False) in task.demands
    assert "firewall" in task.title
    assert "fumes and flame" in " ".join(task.cautions).lower()
    assert task.id in {a.task for a in work.tasks["first-start"].after}
    assert task.id in {a.task for a in work.tasks[SEALED].after}
    assert any("plugs" in work.buys[b].what and "sealant" in work.buys[b].what for b in task.purchases)


def test_a_hole_in_a_rail_lets_no_fumes_through() -> None:
    work, _ = worked(shed(), Remove(part="rail-horn"))
    assert not [t for t in work.tasks if ".left" in t]
    assert SEALED not in work.tasks


def horn_at(at: Vec) -> Component:
    return replace(part("horn", "new-horn", at), mounted_on="firewall")


@pytest.mark.parametrize(("at", "closed"), [((-60.0, 700.0, 250.0), False), ((-60.0, 700.0, 400.0), True)])
def test_holes_that_the_new_part_takes_are_left(at: Vec, *, closed: bool) -> None:
    work, _ = worked(shed(), Replace(part="horn", component=horn_at(at)))
    assert bool(closing(work, "horn")) is closed


def test_a_new_cable_through_the_old_hole_leaves_none_to_close() -> None:
    new = link("clutch-cable", "long-cable", "pedal.eye", "lever.eye", system="clutch", passes=("firewall",))
    again, _ = worked(shed(), Remove(part="cable"), AddLink(link=new))
    assert not closing(again, "cable")


def test_it_is_closed_when_what_comes_was_tried_on_the_panel() -> None:
    made = replace(part("bracket", "bracket", (-60, -500, 700), make_min=60), mounted_on="firewall")
    work, _ = worked(shed(), Remove(part="horn"), Add(component=made))
    trials = {i for i, t in work.tasks.items() if i.startswith("bracket.") and t.title.startswith("Trial fit")}
    assert trials
    assert trials <= {a.task for a in closing(work, "horn")[0].after}


@pytest.mark.parametrize("changes", [(Remove(part="horn"),), (Remove(part="cable"),), (Remove(part="rail-horn"),)])
def test_the_checker_finds_the_same_holes(changes: tuple[Change, ...]) -> None:
    v = shed()
    work, knockons = worked(v, *changes)
    assert check_gates(v, knockons, work, shelf()) == ()
    told = {e.subject for e in events_of(v, knockons, work, shelf(), None) if e.when is When.LEFT}
    assert told == {c.part for c in changes if isinstance(c, Remove)}
    if SEALED in work.tasks:
        fewer = {i: t for i, t in work.tasks.items() if i != SEALED}
        gates = {i: c for i, c in work.checkpoints.items() if i != "bulkhead-sealed"}
        spoilt = replace(work, tasks=fewer, checkpoints=gates)
        assert any("bulkhead-sealed" in f for f in check_gates(v, knockons, spoilt, shelf()))
