"""Stiff pipes to an engine that rocks on its mountings (common practice, no published source)."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest
from garage import vehicle
from workshop import link, part, shelf

from planner.cli.check_rocking import job_rocked
from planner.knockon import rocked_asked, rocked_now
from planner.model.job import AddLink, Job
from planner.model.vehicle import Link, Vehicle
from planner.shelf import load_job, load_vehicle, projects_folder


def rig(slave_on: str = "bell") -> Vehicle:
    """A cylinder on the bulkhead; a bell housing on the engine, and a slave cylinder on one or the other."""
    parts = [
        part("bulkhead", "bulkhead", (0, 0, 500), (20, 2000, 1000), on=None),
        part("engine", "engine", (500, 0, 300), (400, 400, 400), on=None),
        part("bell-housing", "bell", (240, 0, 300), on="engine"),
        part("clutch-master-cylinder", "master", (60, 0, 800), ports_mm={"out": (0, 50, 0)}),
        part("clutch-slave-cylinder", "slave", (240, 120, 300), on=slave_on, ports_mm={"in": (0, 50, 0)}),
    ]
    return vehicle(parts)


def pipe(kind: str = "clutch-pipe", **more: object) -> Link:
    return link(kind, "pipe", "master.out", "slave.in", **more)


def told(v: Vehicle, one: Link) -> list[tuple[str, str, str]]:
    now = rocked_now(replace(v, links={"pipe": one}), shelf())
    job = Job(id="job", name="job", changes=(AddLink(link=one),))
    assert rocked_asked(v, job, shelf()) == now
    return [(o.firm, o.rocking, o.instead) for o in now]


@pytest.mark.parametrize(
    ("one", "slave_on", "is_told"),
    [
        (pipe(), "bell", True),
        (pipe(), "bulkhead", False),
        (pipe("clutch-hose"), "bell", False),
        (pipe(slack_mm=15.0), "bell", False),
    ],
)
def test_a_stiff_pipe_to_what_is_bolted_to_the_engine_is_told(one: Link, slave_on: str, *, is_told: bool) -> None:
    hose = shelf().link_kinds["clutch-hose"].name
    assert told(rig(slave_on), one) == ([("master", "slave", hose)] if is_told else [])


def test_check_tells_it_at_the_change_that_lays_it(tmp_path: Path) -> None:
    """The shipped clutch pipe has coils that give; without that word it is told once, with what to lay instead."""
    catalog = shelf()
    saloon = projects_folder() / "saloon"
    v, _ = load_vehicle(saloon, catalog)
    assert v is not None
    job, _ = load_job(saloon, "clutch", v, catalog)
    assert job is not None
    assert job_rocked(saloon, job, v, catalog) == []
    stiff = tuple(replace(c, link=replace(c.link, slack_mm=0.0)) if isinstance(c, AddLink) else c for c in job.changes)
    (tmp_path / "jobs").mkdir()
    (tmp_path / "jobs" / "clutch.yaml").write_bytes((saloon / "jobs" / "clutch.yaml").read_bytes())
    (found,) = job_rocked(tmp_path, replace(job, changes=stiff), v, catalog)
    assert found.code == "pipe-to-what-rocks"
    assert "clutch hose" in (found.hint or "")
    assert found.place is not None
