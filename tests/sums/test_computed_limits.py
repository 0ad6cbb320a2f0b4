"""Limits that the sums compute for this vehicle, in the checkpoints of the worked project."""

from __future__ import annotations

import re
import shutil
from dataclasses import replace
from functools import cache
from pathlib import Path

import pytest
from bare_answer import bare_answer
from cli.shed import catalog, run

from planner.knockon import find_knockons
from planner.knockon.asked import asked_by
from planner.model.figures import Figure, LinkageFigures, StageFigures, TurnFigures
from planner.model.job import AddLink, Job, Replace
from planner.model.vehicle import Component, Vehicle
from planner.model.work import Checkpoint
from planner.shelf import load_job, load_vehicle, projects_folder
from planner.work import work_for
from planner.work.computed_limits import Sheet, with_computed_limits

CAR = projects_folder() / "trials-car"
RULES = (
    "brake-free-play",
    "brake-reserve",
    "clutch-free-play",
    "clutch-rod-play",
    "brake-pedal-strength",
    "coolant-level",
    "stop-lamps",
    "throttle-opens",
    "handbrake-holds",
    "pedals-apart",
    "steering-free",
    "brake-fluid",
)


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
            limit=rules[i].whole_limit,
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
    return with_computed_limits(checkpoints(), Sheet(vehicle or car()[0], job, bare_answer(asked.base, asked.links)))


def test_the_rules_own_words_and_numbers_stay() -> None:
    for i, check in told(car()[1]).items():
        rule = catalog().rules[i]
        assert check.limit.startswith(rule.whole_limit)
        assert (check.low, check.high) == (rule.low, rule.high)


def test_free_play_at_the_pad_goes_with_the_arm() -> None:
    """By hand: arms of 383.1 and 78.2 mm, the rod square to the shorter: 4.90 to 1; 100 mm more make 482.3 mm."""
    vehicle, job = car()
    short, long = told(job)["brake-free-play"].limit, told(longer(job, 100))["brake-free-play"].limit
    assert "0.5 to 1.5 mm at the rod is 2.5 to 7.4 mm at the pad of the hung brake pedal" in short
    assert "0.5 to 1.5 mm at the rod is 3.1 to 9.3 mm at the pad of the hung brake pedal" in long
    assert told(job)["clutch-free-play"].limit == told(longer(job, 100))["clutch-free-play"].limit
    assert told(job)["brake-reserve"].limit != told(longer(job, 100))["brake-reserve"].limit
    rod = next(c.link.name for c in job.changes if isinstance(c, AddLink) and c.link.kind == "pedal-push-rod")
    assert f"{rod}, read at the rod and not at the pad: 0.5" in short
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
    assert limits["brake-reserve"] == catalog().rules["brake-reserve"].whole_limit
    assert limits["stop-lamps"] == catalog().rules["stop-lamps"].limit
    assert "74 mm over the radiator's top" in limits["coolant-level"]


def test_the_push_rod_of_a_hydraulic_clutch() -> None:
    """By hand: the clutch pedal's arms are 383.1 and 78.2 mm as well, so 0.5 to 1.5 mm are 2.5 to 7.4 mm at its pad."""
    check = told(car()[1])["clutch-rod-play"]
    assert (check.low, check.high) == (0.5, 1.5)
    assert "0.5 to 1.5 mm at the rod is 2.5 to 7.4 mm at the pad of the hung clutch pedal" in check.limit


def figured(**changed: object) -> Vehicle:
    vehicle, _ = car()
    assert vehicle.figures is not None
    return replace(vehicle, figures=replace(vehicle.figures, **changed))  # type: ignore[arg-type]


def test_the_weakest_of_the_pedal_is_named() -> None:
    """12 x 40 drilled 1/2 in: W = 12 (40^3 - 12.7^3) / 240 = 3097.6 mm3; by hand 2000 N at 305.1 mm give 197 MPa."""
    vehicle, job = car()
    assert "weakest by the sums is: arm, 2000 N, 1.4 times of 1" in told(job)["brake-pedal-strength"].limit
    assert vehicle.figures is not None
    pedal = vehicle.figures.pedals["hung-brake-pedal"]
    assert pedal.arm is not None
    thin = replace(pedal, arm=replace(pedal.arm, yield_mpa=Figure(150.0)))
    words = told(job, figured(pedals={"hung-brake-pedal": thin}))["brake-pedal-strength"].limit
    assert "which would fail" in words
    assert "weakest" not in told(job, figured(pedals={}))["brake-pedal-strength"].limit


def test_feet_steering_and_fluid() -> None:
    """Pads 144 mm apart in the file, half a shoe of 102 and half a pad of 70: 58 mm; pipes of 22 and 34 ml, twice."""
    limits = {i: c.limit for i, c in told(car()[1]).items()}
    assert "the hung clutch pedal, shoe to hung-brake-pedal: about 58 mm" in limits["pedals-apart"]
    assert "to the steering: about 35 mm" in limits["steering-free"]
    assert "44 ml to bleed through at the front" in limits["brake-fluid"]
    assert "68 ml to bleed through at the rear" in limits["brake-fluid"]


def test_linkages_speak_to_their_own_rules() -> None:
    turns = TurnFigures(about_mm=(-8.0, 0.0, 0.0), axis=(0.0, 1.0, 0.0))
    throttle = LinkageFigures(
        part="throttle-pedal",
        port="rod",
        stages=(StageFigures(link="throttle-rod-pedal", turns=turns),),
        full_deg=Figure(60.0),
    )
    brake = LinkageFigures(
        part="handbrake-lever",
        port="cable-right",
        turns=TurnFigures(about_mm=(10.0, 0.0, -20.0), axis=(0.0, 1.0, 0.0)),
        travel_deg=-30.0,
        stages=(StageFigures(link="handbrake-cable-right", outer=(("rear-bulkhead", ""),)),),
        pull_mm=Figure(18.0),
    )
    limits = told(car()[1], figured(linkages={"gas": throttle, "hand": brake}))
    assert "the last lever of the gas turns" in limits["throttle-opens"].limit
    assert "of its 60 deg, which would fail" in limits["throttle-opens"].limit
    assert "the hand draws its cable" not in limits["throttle-opens"].limit
    assert "the hand draws its cable" in limits["handbrake-holds"].limit
    assert limits["throttle-opens"].limit.startswith(catalog().rules["throttle-opens"].limit)
    plain = told(car()[1])
    assert plain["throttle-opens"].limit == catalog().rules["throttle-opens"].limit


@pytest.mark.slow
def test_one_lever_result_changes_the_knock_ons_and_a_limit(tmp_path: Path) -> None:
    """A pad arm of at least 520 mm is found and written: the pedal meets the floor, and the play at its pad grows.

    By hand: at least 520 over the clevis' drop of 78 mm is 6.7 to 1, so 0.5 mm at the rod is 3.3 mm or more.
    """
    project = tmp_path / "car"
    shutil.copytree(CAR, project)
    options = ("--part", "push-rod-front", "--free", "pad-arm=520..545", "--want", "ratio=6.7..7", "--write")
    assert run("lever", project, "hung-pedals", *options).code == 0
    vehicle, _ = load_vehicle(project, catalog())
    assert vehicle is not None
    job, _ = load_job(project, "hung-pedals", vehicle, catalog())
    assert job is not None
    assert "right floor: hung brake pedal overlaps it" in " ".join(find_knockons(vehicle, job, catalog()).trouble)
    before, after = (told(each)["brake-free-play"].limit for each in (car()[1], job))
    assert "is 2.5 to 7.4 mm at the pad" in before
    low, high = (float(w) for w in re.findall(r"is ([\d.]+) to ([\d.]+) mm at the pad", after)[0])
    assert low >= 3.3
    assert high == pytest.approx(3 * low, rel=0.03)


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
