"""From random vehicles all the way to a dated plan: every independent check agrees, or the trouble is told in words."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date, time
from functools import cache
from random import Random

import pytest
from random_vehicles import random_case
from workshop import shelf

from planner.knockon import find_knockons
from planner.model.effects import Knockons, Proof
from planner.model.job import Add, Change, Cut, Job, Repeating, Replace, TakeOff
from planner.model.plan import Plan, Strip
from planner.model.vehicle import Component, Freedom, Link, System, Vehicle
from planner.model.work import WorkList
from planner.order import least_strip, pack
from planner.verify import check_gates, check_homes, check_plan, check_strip
from planner.work import work_for

TODAY = date(2026, 3, 2)
CASES = 30
SYSTEMS = {
    "front": System(id="front", kind="hydraulic-brake", name="front brakes"),
    "petrol": System(id="petrol", kind="fuel", name="fuel"),
    "water": System(id="water", kind="coolant", name="coolant"),
}
KINDS = {
    "brake-union": ("front",),
    "wheel-cylinder": ("front",),
    "fuel-filter": ("petrol",),
    "header-tank": ("water",),
    "horn": (),
    "bracket": (),
    "relay": (),
}
LINKS = {"hose": ("coolant-hose", "water"), "rod": ("brake-pipe", "front")}


def dressed_part(rng: Random, c: Component) -> Component:
    """The same block as something of the catalog."""
    name = "bulkhead" if c.id == "wall" else rng.choice(list(KINDS))
    kind = shelf().kinds[name]
    make = kind.make_min if rng.random() < 0.5 else None
    return replace(
        c,
        kind=name,
        group=kind.group,
        needs=kind.needs,
        tools=kind.tools,
        make_min=make,
        systems=KINDS.get(name, ()),
        price=0.0 if rng.random() < 0.5 else 12.0,
        lead_days=rng.choice([0, 0, 9]),
    )


def dressed_link(k: Link) -> Link:
    name, system = LINKS[k.kind]
    kind = shelf().link_kinds[name]
    return replace(k, kind=name, group=kind.group, needs=kind.needs, system=system)


def dressed_change(rng: Random, change: Change) -> Change:
    match change:
        case Add(component=c):
            return Add(component=dressed_part(rng, c))
        case Replace(part=old, component=c):
            return Replace(part=old, component=dressed_part(rng, c))
        case Cut():
            return replace(change, welded=rng.random() < 0.5)
        case _:
            return change


def dressed_case(seed: int) -> tuple[Vehicle, Job]:
    """A random case in the catalog's words, with one part more to come off, and time on Saturdays for two."""
    rng = Random(seed)
    v, j = random_case(seed)
    parts = {i: dressed_part(rng, c) for i, c in v.components.items()}
    v = replace(v, components=parts, links={i: dressed_link(k) for i, k in v.links.items()}, systems=SYSTEMS)
    touched = {getattr(c, "part", "") for c in j.changes}
    loose = [i for i, c in parts.items() if c.freedom is Freedom.COMES_OFF and not c.rides and i not in touched]
    changes = [dressed_change(rng, c) for c in j.changes] + [TakeOff(part=i) for i in loose[:1]]
    saturdays = Repeating(weekday=5, start=time(8), end=time(18), hands=2)
    return v, replace(j, changes=tuple(changes), start=TODAY, repeating=(saturdays,), pace={"drilling": 1.5})


@dataclass(frozen=True)
class Line:
    vehicle: Vehicle
    job: Job
    knockons: Knockons
    work: WorkList | None = None
    strip: Strip | None = None
    plan: Plan | None = None


@cache
def line(seed: int) -> Line:
    v, j = dressed_case(seed)
    knockons = find_knockons(v, j, shelf())
    if knockons.proof is Proof.NONE:
        return Line(v, j, knockons)
    work = work_for(v, j, knockons, shelf())
    strip = least_strip(work, limit_s=10.0)
    if not strip.steps:
        return Line(v, j, knockons, work, strip)
    return Line(v, j, knockons, work, strip, pack(work, strip, j, shelf(), today=TODAY))


@pytest.mark.parametrize("seed", range(CASES))
def test_homes_are_sound(seed: int) -> None:
    it = line(seed)
    assert check_homes(it.vehicle, it.job, it.knockons, shelf()) == ()


@pytest.mark.parametrize("seed", range(CASES))
def test_gates_hold(seed: int) -> None:
    it = line(seed)
    if it.work is None:
        assert it.knockons.trouble
        return
    assert check_gates(it.vehicle, it.knockons, it.work, shelf(), job=it.job) == ()


@pytest.mark.parametrize("seed", range(CASES))
def test_strip_is_sound(seed: int) -> None:
    it = line(seed)
    if it.work is None or it.strip is None:
        assert it.knockons.trouble
        return
    if it.strip.proof is Proof.NONE:
        assert it.strip.trouble
        return
    assert check_strip(it.work, it.strip) == ()
    assert it.strip.bound <= it.strip.cost


@pytest.mark.parametrize("seed", range(CASES))
def test_plan_is_sound(seed: int) -> None:
    it = line(seed)
    if it.plan is None or it.work is None:
        assert it.knockons.trouble or (it.strip is not None and it.strip.trouble)
        return
    if it.plan.trouble:
        return
    assert check_plan(it.work, it.plan, it.job, shelf(), TODAY) == ()
    assert it.plan.slots[-1].step.ref in it.work.tasks


def test_most_cases_end_in_a_plan() -> None:
    """Otherwise the tests above would say little."""
    lines = [line(seed) for seed in range(CASES)]
    planned = [it for it in lines if it.plan is not None and not it.plan.trouble]
    assert len(planned) >= CASES // 2
    assert any(it.knockons.homes for it in planned)
    assert not [it for it in lines if it.strip is not None and it.strip.proof is Proof.NONE]
