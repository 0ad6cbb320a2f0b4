"""`knockon plan`: the order of work, in dated sessions, with its checkpoints."""

from __future__ import annotations

import json
from dataclasses import dataclass
from datetime import date, datetime
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from planner.cli.ending import Exit, Stop

if TYPE_CHECKING:
    from planner.model.catalog import Catalog
    from planner.model.effects import Knockons
    from planner.model.job import Job
    from planner.model.plan import Plan
    from planner.model.vehicle import Vehicle
    from planner.model.work import WorkList


def plan(
    project: Annotated[Path, typer.Argument(help="Folder with vehicle.yaml and jobs/.")],
    job: Annotated[str, typer.Argument(help="A job of the project.")],
    as_json: Annotated[bool, typer.Option("--json", help="The plan as JSON.")] = False,
    steps_only: Annotated[bool, typer.Option("--short", help="Steps without tools, cautions and checks.")] = False,
    about: Annotated[str, typer.Option(help="Only the steps that handle this part, link, cut or circuit.")] = "",
    from_day: Annotated[
        datetime | None, typer.Option("--from", formats=["%Y-%m-%d"], help="First day of work; else the job's own.")
    ] = None,
    limit_s: Annotated[float, typer.Option("--limit", help="Seconds for the strip-down to be proved.")] = 20.0,
) -> None:
    """Plan the work: least strip-down, order, sessions, checkpoints, what to buy."""
    from planner.cli.as_json import plan_json
    from planner.cli.loading import catalog_read, job_read, vehicle_read
    from planner.cli.show_plan import show_about, show_plan
    from planner.model.effects import Proof

    catalog = catalog_read()
    vehicle = vehicle_read(project, catalog)
    found = job_read(project, job, vehicle, catalog)
    answer = planned(vehicle, found, catalog, today=_first_day(from_day), limit_s=limit_s)
    if as_json:
        typer.echo(json.dumps(plan_json(answer.work, answer.plan, answer.violations), indent=1, ensure_ascii=False))
    elif about:
        show_about(vehicle, found, answer, about)
    else:
        show_plan(vehicle, found, answer, short=steps_only)
    if answer.violations:
        raise Stop(Exit.BUG, "the independent checker does not accept this plan", "do not work from it; tell us")
    if answer.plan.trouble or answer.plan.strip.trouble or answer.knockons.proof is Proof.NONE:
        raise Stop(Exit.FAULTS)


def _first_day(from_day: datetime | None) -> date:
    return from_day.date() if from_day is not None else datetime.now().astimezone().date()


@dataclass(frozen=True, slots=True, kw_only=True)
class Answer:
    """A plan with all it was made from, and what the independent checker says against it."""

    knockons: Knockons
    work: WorkList
    plan: Plan
    violations: tuple[str, ...]
    today: date


def planned(vehicle: Vehicle, job: Job, catalog: Catalog, *, today: date, limit_s: float) -> Answer:
    """Knock-ons, work, order, sessions, and the check of each by verify/."""
    from planner.knockon import find_knockons
    from planner.model.effects import Proof
    from planner.order import least_strip, pack
    from planner.verify import check_gates, check_homes, check_plan, check_strip
    from planner.work import work_for

    knockons = find_knockons(vehicle, job, catalog)
    if knockons.proof is Proof.NONE:
        raise Stop(Exit.FAULTS, "there is no place for: " + " | ".join(knockons.trouble), "`knockon moves` tells more")
    work = work_for(vehicle, job, knockons, catalog)
    strip = least_strip(work, limit_s=limit_s)
    found = pack(work, strip, job, catalog, today=today)
    violations = [*check_homes(vehicle, job, knockons), *check_gates(vehicle, knockons, work, catalog, job=job)]
    if strip.steps:
        violations += check_strip(work, strip)
    if found.slots:
        violations += check_plan(work, found, job, catalog, today)
    return Answer(knockons=knockons, work=work, plan=found, violations=tuple(violations), today=today)
