"""The earth strap of a battery comes off first and goes on last: common practice, no published source."""

from __future__ import annotations

from dataclasses import replace

from garage import vehicle, wall
from workshop import link, part, shelf, worked

from planner.knockon import find_knockons
from planner.model.job import Job, OwnTask
from planner.model.vehicle import System, Vehicle
from planner.model.work import Demand
from planner.verify import check_steps
from planner.work import work_for

CLEAN = OwnTask(id="clean", title="Clean the posts and both lugs", minutes=20, off=("strap", "cable"))


def wired() -> Vehicle:
    """A battery on a bulkhead, with its live cable and its strap to the engine."""
    posts = {"earth": (0, 20, 60), "live": (0, -20, 60)}
    parts = [
        wall(kind="bulkhead", group="body"),
        part("battery", "battery", (60, 700, 500), on="wall", systems=("wiring",), ports_mm=posts),
        part("engine", "engine", (1500, 0, 500), (300, 300, 300), on=None),
    ]
    links = [
        link("earth-strap", "strap", "battery.earth", "engine", system="wiring"),
        link("battery-cable", "cable", "battery.live", "engine", system="wiring"),
    ]
    return vehicle(parts, links=links, systems=[System(id="wiring", kind="low-voltage-wiring", name="wiring")])


def test_the_strap_comes_off_before_the_live_cable_and_goes_on_after_it() -> None:
    work, _ = worked(wired(), tasks=(CLEAN,))
    cable_off, strap_on = work.features["cable"].turn_off, work.features["strap"].turn_on
    assert cable_off is not None
    assert strap_on is not None
    assert Demand(feature="strap", on=False) in cable_off.demands
    assert Demand(feature="cable", on=True) in strap_on.demands


def test_the_checker_sees_a_strap_that_may_go_on_first() -> None:
    v, job = wired(), Job(id="clean", name="clean", changes=(), tasks=(CLEAN,))
    found = find_knockons(v, job, shelf())
    work = work_for(v, job, found, shelf())
    assert not [t for t in check_steps(v, found, work, shelf(), job=job) if "earth comes off first" in t]
    for subject, way, other in (("strap", "turn_on", "cable"), ("cable", "turn_off", "strap")):
        toggle = getattr(work.features[subject], way)
        bare = replace(toggle, demands=tuple(d for d in toggle.demands if d.feature != other))
        spoilt = replace(work, features={**work.features, subject: replace(work.features[subject], **{way: bare})})
        (told,) = [t for t in check_steps(v, found, spoilt, shelf(), job=job) if "earth comes off first" in t]
        assert f"`{subject}` may be" in told
