"""A bulkhead with brakes, fuel and cooling on it, in the real catalog's words; sizes are made up."""

from __future__ import annotations

from functools import cache

from garage import box, vehicle
from garage import link as plain_link
from garage import part as plain_part

from planner.knockon import find_knockons
from planner.model.catalog import Catalog
from planner.model.effects import Knockons, Proof
from planner.model.job import Change, Cut, Job
from planner.model.shapes import Vec
from planner.model.vehicle import Component, Freedom, Link, System, Vehicle
from planner.model.work import Demand, Task, WorkList
from planner.shelf import load_catalog
from planner.work import work_for

CUBE: Vec = (100.0, 100.0, 100.0)


@cache
def shelf() -> Catalog:
    catalog, findings = load_catalog()
    assert findings == ()
    return catalog


def part(kind: str, name: str, at: Vec, size: Vec = CUBE, *, on: str | None = "bulkhead", **more: object) -> Component:
    """A part with what its kind says; no keep-clear and no rooms unless told."""
    k = shelf().kinds[kind]
    facts: dict[str, object] = {
        "kind": kind,
        "group": k.group,
        "freedom": k.freedom,
        "rides": k.rides,
        "off_min": k.off_min,
        "on_min": k.on_min,
        "hands": k.hands,
        "tools": k.tools,
        "needs": k.needs,
    }
    return plain_part(name, at, size, on=on, **{**facts, **more})


def link(kind: str, name: str, first: str, second: str, **more: object) -> Link:
    k = shelf().link_kinds[kind]
    facts: dict[str, object] = {
        "kind": kind,
        "group": k.group,
        "freedom": k.freedom,
        "across_mm": k.across_mm,
        "slack_mm": k.slack_mm,
        "adjust_mm": k.adjust_mm,
        "rigid": k.rigid,
        "off_min": k.off_min,
        "on_min": k.on_min,
        "hands": k.hands,
        "remake_min": k.remake_min,
        "adjust_min": k.adjust_min,
        "tools": k.tools,
        "needs": k.needs,
    }
    return plain_link(name, first, second, **{**facts, **more})


def scuttle() -> Vehicle:
    """On the bulkhead a cylinder with a pipe to a union, a hose from there, a filter, a tank; a seat far behind."""
    bulkhead = part("bulkhead", "bulkhead", (0, 0, 500), (20, 2000, 1000), on=None)
    parts = [
        bulkhead,
        part("brake-master-cylinder", "master", (60, 0, 500), systems=("front",), ports_mm={"out": (0, 50, 0)}),
        part("brake-union", "union", (60, 250, 500), systems=("front",), ports_mm={"in": (0, -50, 0)}),
        part("wheel-cylinder", "wheel-cylinder", (60, 550, 500), systems=("front",)),
        part("fuel-filter", "filter", (60, -400, 500), systems=("fuel",)),
        part("header-tank", "tank", (60, -100, 800), systems=("coolant",), freedom=Freedom.COMES_OFF),
        part("horn", "horn", (60, 0, 250), freedom=Freedom.COMES_OFF),
        part("seat", "seat", (900, 0, 300), on=None),
    ]
    links = [
        link("brake-pipe", "front-pipe", "master.out", "union.in", system="front"),
        link("brake-hose", "hose", "union", "wheel-cylinder", system="front"),
    ]
    systems = [
        System(id="front", kind="hydraulic-brake", name="front brakes"),
        System(id="fuel", kind="fuel", name="fuel"),
        System(id="coolant", kind="coolant", name="coolant"),
    ]
    return vehicle(parts, links=links, systems=systems)


def bracket(name: str = "bracket", at: Vec = (60, 700, 300), **more: object) -> Component:
    return part("bracket", name, at, make_min=90, **more)


def hole(at: Vec = (0, 700, 300), *, welded: bool = False) -> Cut:
    return Cut(id="slot", host="bulkhead", hole=box((20, 40, 40), at), welded=welded)


def worked(v: Vehicle, *changes: Change, **more: object) -> tuple[WorkList, Knockons]:
    job = Job(id="job", name="job", changes=changes, **more)  # type: ignore[arg-type]
    knockons = find_knockons(v, job, shelf())
    assert knockons.proof is Proof.PROVED, knockons.trouble
    return work_for(v, job, knockons, shelf()), knockons


def demands(task: Task, feature: str) -> Demand | None:
    return next((d for d in task.demands if d.feature == feature), None)


def first_of(work: WorkList, task: str) -> set[str]:
    """Tasks that a task waits for, through any number of others."""
    found: set[str] = set()
    waiting = [task]
    while waiting:
        for after in work.tasks[waiting.pop()].after:
            if after.task not in found:
                found.add(after.task)
                waiting.append(after.task)
    return found
