"""The shipped jobs, planned as quickly as will do for a book: any plan serves, the least one is not needed."""

from __future__ import annotations

from functools import lru_cache
from pathlib import Path

from trials import TODAY, catalog
from worked_once import worked_once

from planner.book import BookFacts, Paper, book_page
from planner.cli.planning import planned
from planner.cli.sums import job_done, sums_there
from planner.finding import has_errors
from planner.model.answer import Answer
from planner.model.steps import step_keys
from planner.model.vehicle import Vehicle
from planner.shelf import load_job, load_vehicle, projects_folder

QUICK_S = 1.0
VEHICLES = {
    "battery-aft": "trials-car",
    "hung-pedals": "trials-car",
    "battery": "light-van",
    "cooling": "light-van",
    "clutch": "saloon",
    "gearbox": "saloon",
}
"""Whose each job is."""


def project(job: str) -> Path:
    return projects_folder() / VEHICLES[job]


@lru_cache(maxsize=3)
def vehicle(name: str) -> Vehicle:
    found, findings = load_vehicle(projects_folder() / name, catalog())
    assert found is not None
    assert not has_errors(findings)
    return found


@lru_cache(maxsize=6)
def answer(name: str) -> Answer:
    there = vehicle(VEHICLES[name])
    job, findings = load_job(project(name), name, there, catalog())
    assert job is not None
    assert not has_errors(findings)
    with worked_once():
        found = planned(there, job, catalog(), today=TODAY, limit_s=QUICK_S)
    assert found.plan.slots
    return found


def facts_of(name: str, paper: Paper = Paper.ANY) -> BookFacts:
    found = answer(name)
    return BookFacts(
        answer=found,
        keys=step_keys(found.plan.slots),
        sums=sums_there(project(name), job_done(found), found.vehicle, catalog()),
        fluids={i: catalog().system_kinds[s.kind].fluid for i, s in found.vehicle.systems.items()},
        paper=paper,
    )


def print_of(name: str, paper: Paper = Paper.ANY) -> str:
    return book_page(facts_of(name, paper))


def bare_book(found: Answer, paper: Paper = Paper.ANY) -> str:
    """The book of a plan that begins its job, with nothing known besides."""
    return book_page(BookFacts(answer=found, keys=step_keys(found.plan.slots), paper=paper))
