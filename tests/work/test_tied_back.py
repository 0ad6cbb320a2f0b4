"""Cables that are fitted while the battery is isolated: their ends there stay off until it is connected again.

Earth off first and on last, ends tied back: common practice, no published source.
"""

from __future__ import annotations

from pathlib import Path

from planner.knockon import find_knockons
from planner.model.vehicle import Link
from planner.shelf import load_catalog, load_job, load_vehicle
from planner.work import work_for

PROJECT = Path(__file__).parents[2] / "projects" / "trials-car"


def test_a_cable_that_ends_at_the_battery_says_that_its_end_there_stays_off() -> None:
    catalog = load_catalog()[0]
    vehicle = load_vehicle(PROJECT, catalog)[0]
    assert vehicle is not None
    job = load_job(PROJECT, "battery-aft", vehicle, catalog)[0]
    assert job is not None
    knockons = find_knockons(vehicle, job, catalog)
    work = work_for(vehicle, job, knockons, catalog)
    links: dict[str, Link] = {**vehicle.links, **knockons.links_after}
    fitted = {f.subject: f.turn_on for f in work.features.values() if f.subject in links and f.turn_on is not None}
    at_battery = {i for i in fitted if any(e.component == "battery" for e in links[i].ends)}
    assert len(at_battery) > 1
    for i, toggle in fitted.items():
        told = any("at the battery stays off, tied back" in c for c in toggle.cautions)
        assert told == (i in at_battery), i
        assert not told or "state:battery-isolated" in {d.feature for d in toggle.demands if d.on}
