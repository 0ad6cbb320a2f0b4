"""Random mendings on any part, any way: what is planned for them the checker accepts, and it can be done."""

from __future__ import annotations

from dataclasses import replace
from random import Random

import pytest
from workshop import link, part, scuttle, shelf, worked

from planner.model.job import Add, AddLink, Change, Job, Mending, Move, OwnTask, Remove, TakeOff
from planner.model.shapes import Pose
from planner.model.vehicle import Freedom, Vehicle
from planner.model.words import Deed
from planner.order import least_strip
from planner.verify import check_gates, check_strip
from planner.work import with_fuel_off


def _vehicle() -> Vehicle:
    """The bulkhead with a lamp that rides on the horn, and a battery with a cable to the horn."""
    plain = scuttle()
    lamp = part("lamp", "lamp", (60, 0, 350), on="horn", rides=True)
    battery = part("battery", "battery", (60, -900, 300))
    cable = link("battery-cable", "cable", "battery", "horn")
    parts = {**plain.components, "lamp": lamp, "battery": battery}
    return replace(plain, components=parts, links={**plain.links, "cable": cable})


_CHANGES: tuple[Change, ...] = (
    TakeOff(part="filter"),
    Move(part="battery", to=Pose(at_mm=(60.0, 900.0, 700.0))),
    Move(part="master", to=Pose(at_mm=(60.0, 300.0, 800.0))),
    Remove(part="seat"),
    Remove(part="filter"),
    Add(component=part("bracket", "bracket", (60, 700, 300), make_min=90)),
    AddLink(link=link("earth-strap", "strap", "battery", "bulkhead")),
)
"""Cable, pipe and hose are made anew in some; parts and a link come, parts go."""


def _changed(rng: Random) -> tuple[Change, ...]:
    picked = rng.sample(_CHANGES, rng.randint(1, 3))
    # Of two changes to one part the last counts.
    return tuple({getattr(c, "part", str(_CHANGES.index(c))): c for c in picked}.values())


def _mending(rng: Random, vehicle: Vehicle, new: list[str], name: str) -> OwnTask:
    things = [*vehicle.components, *vehicle.links, *new]
    on = rng.choice([*things, ""])
    opens = tuple(s for s in vehicle.systems if rng.random() < 0.15)
    does = {deed for deed in (Deed.WELD, Deed.GRIND, Deed.CUT, Deed.UNDER) if rng.random() < 0.35}
    does |= {Deed.OPEN} if opens else set()
    known = vehicle.components.get(on)
    loose = bool(on) and (known is None or (known.freedom is not Freedom.STAYS and not known.rides))
    ahead = [n for n in (on, rng.choice(things)) if n and rng.random() < 0.6]
    return OwnTask(
        id=name,
        title=name,
        minutes=rng.randint(5, 90),
        off=(on,) if loose and rng.random() < 0.3 else (),
        mending=Mending(
            does=tuple(d for d in Deed if d in does) or (rng.choice([Deed.PLAIN, Deed.UNSAID]),),
            on=on,
            opens=opens,
            spot_mm=known.pose.at_mm if known is not None and rng.random() < 0.5 else None,
            ahead=tuple(dict.fromkeys(ahead)),
        ),
    )


def _is_sound(seed: int) -> None:
    rng = Random(seed)
    vehicle = _vehicle()
    changes = _changed(rng)
    new = [c.component.id if isinstance(c, Add) else c.link.id for c in changes if isinstance(c, Add | AddLink)]
    tasks = tuple(_mending(rng, vehicle, new, f"found-{n}") for n in range(rng.randint(1, 3)))
    job = Job(id="job", name="job", changes=changes, tasks=tasks)
    job = with_fuel_off(job, vehicle, shelf())
    work, knockons = worked(vehicle, *job.changes, tasks=job.tasks)
    assert check_gates(vehicle, knockons, work, shelf(), job=job) == (), tasks
    strip = least_strip(work)
    assert not strip.trouble, tasks
    assert check_strip(work, strip) == (), tasks


@pytest.mark.parametrize("seed", range(12))
def test_a_plan_for_any_mending_is_sound(seed: int) -> None:
    _is_sound(seed)


@pytest.mark.slow
@pytest.mark.parametrize("seed", range(12, 300))
def test_a_plan_for_any_mending_is_sound_at_length(seed: int) -> None:
    _is_sound(seed)
