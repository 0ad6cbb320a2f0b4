"""Limits that the sums compute for this vehicle, in the checkpoints of the worked project."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import pytest
from cli.shed import catalog

from planner.knockon import find_knockons
from planner.knockon.asked import asked_by
from planner.model.effects import Knockons, Proof
from planner.model.job import Job, Replace
from planner.model.vehicle import Component, Vehicle
from planner.model.work import Checkpoint
from planner.shelf import load_job, load_vehicle, projects_folder
from planner.work import work_for
from planner.work.computed_limits import with_computed_limits

CAR = projects_folder() / "trials-car"
RULES = ("brake-free-play", "brake-reserve", "clutch-free-play", "brake-pedal-strength", "coolant-level", "stop-lamps")


@cache
def car() -> tuple[Vehicle, Job]:
    vehicle, _ = load_vehicle(CAR, catalog())
    assert vehicle is not None
    job, _ = load_job(CAR, "hung-pedals", vehicle, catalog())
    assert job is not None
    return vehicle, job


def longer(job: Job, by_mm: float) -> Job:
    """The job with the pad of its brake pedal further from the pivot."""

    def changed(pedal: Component) -> Component:
        x, y, z = pedal.ports_mm["pad"]
        return replace(pedal, ports_mm={**pedal.ports_mm, "pad": (x, y, z - by_mm)})

    return replace(
        job,
        changes=tuple(
            replace(c, component=changed(c.component))
            if isinstance(c, Replace) and c.component.id == "hung-brake-pedal"
            else c
            for c in job.changes
        ),
    )


def checkpoints() -> dict[str, Checkpoint]:
    rules = catalog().rules
    return {
        i: Checkpoint(
            id=i,
            rule=i,
            subject="",
            title=rules[i].title,
            measure=rules[i].measure,
            limit=rules[i].limit,
            unit=rules[i].unit,
            low=rules[i].low,
            high=rules[i].high,
            blocks=(),
            blocked=(),
            caution=rules[i].caution,
            source=rules[i].source,
            why="",
        )
        for i in RULES
    }


def told(job: Job, vehicle: Vehicle | None = None) -> dict[str, Checkpoint]:
    asked = asked_by(car()[0], job)
    knockons = Knockons(
        effects=(),
        homes={},
        after=asked.base,
        links_after=asked.links,
        access={},
        cut_rooms={},
        hot_near={},
        bare={},
        limits={},
        proof=Proof.PROVED,
    )
    return with_computed_limits(checkpoints(), vehicle or car()[0], job, knockons)


def test_the_rules_own_words_and_numbers_stay() -> None:
    for i, check in told(car()[1]).items():
        rule = catalog().rules[i]
        assert check.limit.startswith(rule.limit)
        assert (check.low, check.high) == (rule.low, rule.high)


def test_free_play_at_the_pad_goes_with_the_arm() -> None:
    """By hand: arms of 383.1 and 78.2 mm, the rod square to the shorter: 4.90 to 1; 100 mm more make 482.3 mm."""
    vehicle, job = car()
    short, long = told(job)["brake-free-play"].limit, told(longer(job, 100))["brake-free-play"].limit
    assert "0.5 to 1.5 mm at the rod is 2.5 to 7.4 mm at the pad of the hung brake pedal" in short
    assert "0.5 to 1.5 mm at the rod is 3.1 to 9.3 mm at the pad of the hung brake pedal" in long
    assert told(job)["clutch-free-play"].limit == told(longer(job, 100))["clutch-free-play"].limit
    assert told(job)["brake-reserve"].limit != told(longer(job, 100))["brake-reserve"].limit
    assert vehicle.figures is not None


def test_a_reserve_that_would_fail_is_said() -> None:
    vehicle, job = car()
    assert vehicle.figures is not None
    slack = {
        n: replace(a, travel_mm=replace(a.travel_mm, value=2.5))
        for n, a in vehicle.figures.axles.items()
        if a.travel_mm is not None
    }
    worn = replace(vehicle, figures=replace(vehicle.figures, axles=slack))
    assert "which would fail" in told(job, worn)["brake-reserve"].limit


def test_without_figures_only_what_the_tape_gives_is_told() -> None:
    vehicle, job = car()
    limits = {i: c.limit for i, c in told(job, replace(vehicle, figures=None)).items()}
    assert "2.5 to 7.4 mm" in limits["brake-free-play"]
    assert limits["brake-reserve"] == catalog().rules["brake-reserve"].limit
    assert limits["stop-lamps"] == catalog().rules["stop-lamps"].limit
    assert "74 mm over the radiator's top" in limits["coolant-level"]


@pytest.mark.slow
def test_the_whole_work_list_carries_them() -> None:
    """A pad 25 mm higher: 358.4 mm over the clevis' drop of 78 mm is 4.59 to 1, by hand."""
    vehicle, job = car()
    found = {}
    for arm, each in (("drawn", job), ("short", longer(job, -25))):
        knockons = find_knockons(vehicle, each, catalog())
        found[arm] = work_for(vehicle, each, knockons, catalog()).checkpoints["brake-free-play"].limit
    assert "2.5 to 7.4 mm at the pad" in found["drawn"]
    assert "2.3 to 6.9 mm at the pad" in found["short"]
