"""A shipped vehicle and its jobs, each read and worked through once for all tests that look at it."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from functools import cache
from pathlib import Path

from one_run import once_a_run
from worked_once import worked_once

from planner import knockon
from planner.cli.planning import planned
from planner.finding import Finding, has_errors
from planner.model.answer import Answer
from planner.model.catalog import Catalog
from planner.model.effects import Knockons
from planner.model.job import Job
from planner.model.vehicle import Vehicle
from planner.shelf import load_catalog, load_job, load_vehicle, projects_folder

TODAY = date(2026, 12, 1)


@cache
def catalog() -> Catalog:
    found, findings = load_catalog()
    assert not findings
    return found


@cache
def _read(project: Path) -> tuple[Vehicle, tuple[Finding, ...]]:
    found, findings = load_vehicle(project, catalog())
    assert found is not None
    assert not has_errors(findings)
    return found, findings


@cache
def _job(project: Path, name: str) -> Job:
    found, findings = load_job(project, name, _read(project)[0], catalog())
    assert found is not None
    assert not has_errors(findings)
    return found


@cache
def _knockons(project: Path, name: str) -> Knockons:
    def work() -> Knockons:
        with worked_once():
            return knockon.find_knockons(_read(project)[0], _job(project, name), catalog())

    return once_a_run(f"{project.name} {name}", work)


@cache
def _answer(project: Path, name: str, limit_s: float) -> Answer:
    def work() -> Answer:
        with worked_once():
            return planned(_read(project)[0], _job(project, name), catalog(), today=TODAY, limit_s=limit_s)

    return once_a_run(f"{project.name} {name} {limit_s}", work)


@dataclass(frozen=True)
class Shipped:
    """One folder of ``projects/``."""

    name: str

    def project(self) -> Path:
        return projects_folder() / self.name

    def vehicle(self) -> Vehicle:
        return _read(self.project())[0]

    def findings(self) -> tuple[Finding, ...]:
        """What there is to say against its file: warnings, for errors end the test."""
        return _read(self.project())[1]

    def job(self, name: str) -> Job:
        return _job(self.project(), name)

    def knockons(self, name: str) -> Knockons:
        return _knockons(self.project(), name)

    def answer(self, name: str, limit_s: float = 12.0) -> Answer:
        return _answer(self.project(), name, limit_s)
