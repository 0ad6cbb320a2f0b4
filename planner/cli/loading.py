"""Reading a project for a command: findings are shown, errors end it."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import typer

from planner.cli.ending import Exit, Stop

if TYPE_CHECKING:
    from planner.finding import Finding
    from planner.model.catalog import Catalog
    from planner.model.job import Job
    from planner.model.vehicle import Vehicle


def catalog_read() -> Catalog:
    """The catalog; a fault in it is ours, not the user's."""
    from planner.shelf import load_catalog

    catalog, findings = load_catalog()
    _end_on_errors(findings)
    return catalog


def vehicle_read(project: Path, catalog: Catalog) -> Vehicle:
    """The vehicle of a project, complete and free of errors."""
    from planner.cli.left_behind import still_owed
    from planner.shelf import load_vehicle

    vehicle, findings = load_vehicle(project, catalog)
    _end_on_errors(findings)
    if vehicle is None:
        raise Stop(Exit.FAULTS)
    return still_owed(project, vehicle)


def job_read(project: Path, job: str, vehicle: Vehicle, catalog: Catalog, option: str = "") -> Job:
    """A job of a project, complete and free of errors, with one of its options worked in where it has any."""
    return _option_taken(job_written(project, job, vehicle, catalog), option)


def job_written(project: Path, job: str, vehicle: Vehicle, catalog: Catalog) -> Job:
    """A job as its file has it, with no option taken."""
    from planner.shelf import load_job

    found, findings = load_job(project, job, vehicle, catalog)
    _end_on_errors(findings)
    if found is None:
        raise Stop(Exit.FAULTS)
    return found


def _end_on_errors(findings: tuple[Finding, ...]) -> None:
    from planner.cli.show_findings import show_findings
    from planner.finding import has_errors

    if has_errors(findings):
        show_findings(findings, to_stderr=True)
        raise Stop(Exit.FAULTS)


def _option_taken(job: Job, asked: str) -> Job:
    """The job with one of its options worked in: the one asked for, else the one the file takes, else the first."""
    if not job.options:
        if asked:
            raise Stop(Exit.USAGE, f"job `{job.id}` has no options", "write them under `options` in its file")
        return job
    if asked and asked not in job.options:
        raise Stop(Exit.USAGE, f"job `{job.id}` has no option `{asked}`", f"it has: {', '.join(job.options)}")
    taken = asked or job.take or next(iter(job.options))
    if not asked and job.take is None:
        typer.echo(
            f"undecided: option `{taken}` of {', '.join(f'`{o}`' for o in job.options)} is taken here "
            f"(`take` in its file decides; `knockon compare` sets them side by side)",
            err=True,
        )
    return job.taking(taken)
