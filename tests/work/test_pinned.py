"""Parts held to the homes that were agreed, where those are on another host than the part is mounted on now.

The reference is the search's own choice: it knows what a home is on, the log keeps the pose alone.
"""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

from planner.knockon import find_knockons
from planner.knockon.homed import host_at
from planner.model.effects import Proof
from planner.shelf import load_catalog, load_job, load_vehicle
from planner.work import pinned

PROJECT = Path(__file__).parents[2] / "projects" / "light-van"


def test_a_part_that_was_agreed_onto_another_host_can_be_held_there() -> None:
    catalog = load_catalog()[0]
    vehicle = load_vehicle(PROJECT, catalog)[0]
    assert catalog is not None
    assert vehicle is not None
    job = load_job(PROJECT, "cooling", vehicle, catalog)[0]
    assert job is not None
    job = job.taking(min(job.options)) if job.options else job
    found = find_knockons(vehicle, job, catalog)
    homes = {i: pose for i, pose in found.homes.items() if i in vehicle.components}
    elsewhere = {i for i in homes if found.after[i].mounted_on != vehicle.components[i].mounted_on}
    assert elsewhere
    spaces = vehicle.spaces.values()
    for i, pose in homes.items():
        assert host_at(vehicle.components[i], pose, spaces) == found.after[i].mounted_on
    held = find_knockons(vehicle, pinned(job, homes, {}, vehicle), catalog)
    assert held.proof is not Proof.NONE, held.trouble
    assert all(held.after[i].pose == found.after[i].pose for i in homes)
    assert all(held.after[i].mounted_on == found.after[i].mounted_on for i in homes)


def test_a_home_in_no_space_keeps_the_host() -> None:
    catalog = load_catalog()[0]
    vehicle = load_vehicle(PROJECT, catalog)[0]
    assert vehicle is not None
    horn = vehicle.components["horn"]
    far = replace(horn.pose, at_mm=(-90000.0, 0.0, 0.0))
    assert host_at(horn, far, vehicle.spaces.values()) == horn.mounted_on
