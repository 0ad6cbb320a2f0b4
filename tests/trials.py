"""The shipped trials car and its main job, worked through once for all tests that look at it."""

from datetime import date
from functools import lru_cache
from pathlib import Path

from planner.cli.planning import planned
from planner.finding import has_errors
from planner.knockon import find_knockons
from planner.model.answer import Answer
from planner.model.catalog import Catalog
from planner.model.effects import Knockons
from planner.model.job import Job
from planner.model.vehicle import Vehicle
from planner.shelf import load_catalog, load_job, load_vehicle, projects_folder

TODAY = date(2026, 12, 1)


@lru_cache(maxsize=1)
def catalog() -> Catalog:
    found, findings = load_catalog()
    assert not findings
    return found


def project() -> Path:
    return projects_folder() / "trials-car"


@lru_cache(maxsize=1)
def vehicle() -> Vehicle:
    found, findings = load_vehicle(project(), catalog())
    assert found is not None
    assert not has_errors(findings)
    return found


@lru_cache(maxsize=4)
def job(name: str) -> Job:
    found, findings = load_job(project(), name, vehicle(), catalog())
    assert found is not None
    assert not has_errors(findings)
    return found


@lru_cache(maxsize=4)
def knockons(name: str) -> Knockons:
    return find_knockons(vehicle(), job(name), catalog(), limit_s=60.0)


@lru_cache(maxsize=4)
def answer(name: str) -> Answer:
    return planned(vehicle(), job(name), catalog(), today=TODAY, limit_s=12.0)
