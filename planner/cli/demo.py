"""`knockon demo`: the shipped vehicle, copied, checked, worked through and planned."""

from __future__ import annotations

import shutil
from datetime import date
from pathlib import Path
from typing import Annotated

import typer

from planner.cli.ending import Exit, Stop
from planner.cli.planning import LIMIT_S

_VEHICLE, _JOB = "trials-car", "hung-pedals"
_FIRST_DAY = date(2026, 12, 1)


def demo(
    folder: Annotated[Path, typer.Argument(help="Where to put the copy.")] = Path("knockon-demo"),
    every: Annotated[
        bool, typer.Option("--all", help="Every shipped vehicle and job, as one table, with books.")
    ] = False,
) -> None:
    """Copy the shipped trials car, then check it, tell its knock-ons and plan the job."""
    if every:
        from planner.cli.demo_all import work_through_all

        work_through_all(folder)
        return
    from planner.cli.check import check
    from planner.cli.loading import catalog_read, job_read, vehicle_read
    from planner.cli.planning import planned
    from planner.cli.show_moves import show_moves
    from planner.cli.show_plan import show_plan
    from planner.shelf import projects_folder

    project = folder / _VEHICLE
    if not project.exists():
        shutil.copytree(projects_folder() / _VEHICLE, project, ignore=shutil.ignore_patterns("out", "*.log.jsonl"))
    typer.echo(f"$ knockon check {project}")
    check(project)
    catalog = catalog_read()
    vehicle = vehicle_read(project, catalog)
    job = job_read(project, _JOB, vehicle, catalog)
    answer = planned(vehicle, job, catalog, today=_FIRST_DAY, limit_s=LIMIT_S)
    typer.echo(f"\n$ knockon moves {project} {_JOB}")
    show_moves(vehicle, job, answer.knockons, every=False, faults=answer.faults)
    typer.echo(f"\n$ knockon plan {project} {_JOB} --short")
    show_plan(answer, short=True)
    if answer.violations or not answer.plan.slots:
        raise Stop(Exit.BUG, "the demo's plan is not sound")
    typer.echo(f"\nNext: knockon plan {project} {_JOB}      (tools, reasons, checks and what to buy)")
    typer.echo(f"      knockon moves {project} header-tank --by '0 0 25'      (what if?)")
