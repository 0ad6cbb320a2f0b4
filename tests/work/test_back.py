"""Own tasks for a part that is back, or has come, and is not fitted yet: a water test of a tank made larger elsewhere.

What is expected is common practice, no published source: the tank comes off once, goes away, is tried on the bench when
it is back, and is fitted once.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from functools import lru_cache
from pathlib import Path

import pytest

from planner.knockon import find_knockons
from planner.model.job import Job
from planner.model.plan import Plan
from planner.model.vehicle import Vehicle
from planner.model.work import WorkList
from planner.order import least_strip, pack
from planner.shelf import load_catalog, load_job, load_vehicle
from planner.verify import check_gates
from planner.work import work_for

VEHICLE = """\
knockon: 1
name: Tank trial
units: mm
zero: {x: front axle, y: centre line, z: rails}
ground: -300
systems:
  fuel: {kind: fuel}
components:
  rail: {kind: chassis-rail, at: [500, 0, 0], solids: [{box: [1200, 60, 40]}]}
  fuel-tank:
    kind: fuel-tank
    at: [500, 0, 120]
    solids: [{box: [250, 300, 200]}]
    mounted_on: rail
    systems: [fuel]
"""
JOB = """\
knockon: 1
name: A bigger tank
start: 2027-01-09
changes:
  - {do: grow, part: fuel-tank, by: [40, 0, 0], price: 95, lead: 10 days}
  - do: add
    part: guard
    component:
      {kind: heat-shield, at: [500, 260, 120], solids: [{box: [250, 2, 200]}], mounted_on: rail, lead: 5 days}
tasks:
  water-test: {title: Fill it with water, takes: 1 h, TANK}
  look-over: {title: Look the guard over, takes: 10 min, back: [guard]}
sessions:
  - {every: saturday, from: "09:00", to: "13:00", hands: 2}
"""
TODAY = date(2027, 1, 4)
LEAD_DAYS = 10


@lru_cache(maxsize=1)
def catalog():  # noqa: ANN201  # named by what it reads
    found, findings = load_catalog()
    assert not findings
    return found


def built(folder: Path, tank: str) -> tuple[Vehicle, Job, WorkList, Plan]:
    (folder / "jobs").mkdir()
    (folder / "vehicle.yaml").write_text(VEHICLE)
    (folder / "jobs" / "bigger.yaml").write_text(JOB.replace("TANK", tank))
    vehicle, wrong = load_vehicle(folder, catalog())
    assert vehicle is not None, wrong
    job, wrong = load_job(folder, "bigger", vehicle, catalog())
    assert job is not None, wrong
    work = work_for(vehicle, job, find_knockons(vehicle, job, catalog()), catalog())
    return vehicle, job, work, pack(work, least_strip(work), job, catalog(), today=TODAY)


def handled(plan: Plan) -> list[tuple[str, bool | None]]:
    """The tank in its old home and in its new one, taken off and fitted."""
    return [(s.step.ref, s.step.on) for s in plan.slots if s.step.ref in {"fuel-tank", "fuel-tank@new"}]


def test_it_is_done_once_the_part_is_back_and_before_it_is_fitted(tmp_path: Path) -> None:
    vehicle, job, work, plan = built(tmp_path, "back: [fuel-tank]")
    assert not plan.trouble
    at = {(s.step.ref, s.step.on): s for s in plan.slots}
    assert handled(plan) == [("fuel-tank", False), ("fuel-tank@new", True)]
    sent, tried, fitted = at["fuel-tank.2", None], at["water-test", None], at["fuel-tank@new", True]
    assert (tried.start - sent.end).days >= LEAD_DAYS
    assert tried.end <= fitted.start
    assert work.tasks["water-test"].purchases == ("buy:fuel-tank",)
    assert at["look-over", None].end <= at["guard", True].start
    assert check_gates(vehicle, find_knockons(vehicle, job, catalog()), work, catalog(), job=job) == ()


def test_after_all_its_work_it_would_be_fitted_and_taken_off_again(tmp_path: Path) -> None:
    """Why the word is needed: `after` means all the work on the tank, its trial fit too."""
    _, _, _, plan = built(tmp_path, "off: [fuel-tank], after: [fuel-tank]")
    assert (
        handled(plan)
        == [(f"fuel-tank{new}", on) for new, on in (("", False), *[("@new", True), ("@new", False)] * 2)][:-1]
    )


@pytest.mark.parametrize(
    ("spoilt", "said"),
    [
        ({"after": ()}, "may be done before `fuel-tank` is back"),
        ({"purchases": ()}, "does not wait for `fuel-tank` to be here"),
        ({"demands": ()}, "does not ask for it to be off"),
    ],
)
def test_the_checker_sees_one_that_is_too_early_or_not_on_the_bench(
    tmp_path: Path, spoilt: dict[str, tuple[str, ...]], said: str
) -> None:
    vehicle, job, work, _ = built(tmp_path, "back: [fuel-tank]")
    wrong = replace(work, tasks={**work.tasks, "water-test": replace(work.tasks["water-test"], **spoilt)})
    told = check_gates(vehicle, find_knockons(vehicle, job, catalog()), wrong, catalog(), job=job)
    assert [t for t in told if said in t]


def test_the_checker_sees_one_that_is_too_late(tmp_path: Path) -> None:
    vehicle, job, work, _ = built(tmp_path, "back: [fuel-tank]")
    tank = work.features["fuel-tank@new"]
    assert tank.turn_on is not None
    late = replace(tank, turn_on=replace(tank.turn_on, after=()))
    wrong = replace(work, features={**work.features, "fuel-tank@new": late})
    told = check_gates(vehicle, find_knockons(vehicle, job, catalog()), wrong, catalog(), job=job)
    assert "`fuel-tank@new` may be fitted before `water-test` is done" in told
