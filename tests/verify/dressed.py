"""The random vehicles in the catalog's words, each with a job, time to do it, and what its owner asks for."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, time
from random import Random

from random_vehicles import random_case
from workshop import shelf

from planner.model.job import Add, Change, Cut, EndState, Job, Repeating, Replace, TakeOff
from planner.model.vehicle import Component, Freedom, Link, System, Vehicle

TODAY = date(2026, 3, 2)
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


def wished_case(seed: int) -> tuple[Vehicle, Job]:
    """The same with a Sunday alone, how the vehicle has to stand on some nights, and what its owner would leave in."""
    v, j = dressed_case(seed)
    rng = Random(f"wishes {seed}")
    parts = sorted(i for i, c in v.components.items() if c.freedom is not Freedom.STAYS)
    fitted = tuple(rng.sample(parts, min(len(parts), rng.choice([0, 1, 2]))))
    states = {
        "rolls": EndState(id="rolls", name="can be rolled", without=("on-stands",), weekdays=(6,)),
        "whole": EndState(id="whole", name="whole", fitted=fitted, weekdays=rng.choice([(), (5,)])),
    }
    wanted = rng.sample(sorted(states), rng.randint(1, 2))
    worth = {i: rng.choice([15, 60, None]) for i in rng.sample(parts, min(len(parts), rng.choice([0, 1, 2])))}
    return v, replace(
        j,
        repeating=(*j.repeating, Repeating(weekday=6, start=time(9), end=time(13), hands=1)),
        at_end={name: states[name] for name in wanted},
        leave_in=worth,
        tidy_min=rng.choice([0, 10]),
        day_worth=rng.choice([0.0, 5.0, 50.0]),
    )
