"""`knockon plan`: the order of work, in dated sessions, with its checkpoints."""

from __future__ import annotations

import json
from dataclasses import dataclass
from datetime import date, datetime
from difflib import get_close_matches
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
    from planner.cli.show_plan import show_about, show_plan, subjects_of
    from planner.model.effects import Proof

    catalog = catalog_read()
    vehicle = vehicle_read(project, catalog)
    found = job_read(project, job, vehicle, catalog)
    answer = planned(vehicle, found, catalog, today=_first_day(from_day), limit_s=limit_s)
    if as_json:
        typer.echo(json.dumps(plan_json(found, answer), indent=1, ensure_ascii=False))
    elif about:
        _see_known(about, subjects_of(answer.work), vehicle)
        show_about(vehicle, found, answer, about)
    else:
        show_plan(vehicle, found, answer, short=steps_only)
    if answer.violations:
        raise Stop(Exit.BUG, "the independent checker does not accept this plan", "do not work from it; tell us")
    if answer.plan.trouble or answer.plan.strip.trouble or answer.knockons.proof is Proof.NONE:
        raise Stop(Exit.FAULTS)


def _see_known(about: str, subjects: frozenset[str], vehicle: Vehicle) -> None:
    """Stop when ``about`` is neither in the plan nor on the vehicle: a slip of the pen would look like no work."""
    if about in subjects or about in {*vehicle.components, *vehicle.links, *vehicle.systems}:
        return
    near = get_close_matches(about, sorted(subjects), n=1)
    hint = f"did you mean `{near[0]}`?" if near else "name a part, link, cut, circuit or condition of the plan"
    raise Stop(Exit.USAGE, f"nothing in the plan is called `{about}`", hint)


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
    faults: int
    """Faults of the vehicle as it stands."""


def planned(vehicle: Vehicle, job: Job, catalog: Catalog, *, today: date, limit_s: float) -> Answer:
    """Knock-ons, work, order, sessions, and the check of each by verify/."""
    from planner.knockon import find_knockons, present_faults
    from planner.model.effects import Proof
    from planner.order import least_strip, pack
    from planner.verify import check_gates, check_homes, check_plan, check_strip, check_ways
    from planner.work import work_for

    knockons = find_knockons(vehicle, job, catalog)
    if knockons.proof is Proof.NONE:
        told = "".join(f"\n  - {line}" for line in dict.fromkeys(knockons.trouble))
        raise Stop(Exit.FAULTS, f"there is no place for all of it:{told}", "`knockon moves` tells more")
    work = work_for(vehicle, job, knockons, catalog)
    strip = least_strip(work, limit_s=limit_s)
    found = pack(work, strip, job, catalog, today=today)
    violations = [
        *check_homes(vehicle, job, knockons, catalog),
        *check_gates(vehicle, knockons, work, catalog, job=job),
    ]
    violations += check_ways(vehicle, job, knockons, work, catalog)
    if strip.steps:
        violations += check_strip(work, strip)
    if found.slots:
        violations += check_plan(work, found, job, catalog, today)
    return Answer(
        knockons=knockons,
        work=work,
        plan=found,
        violations=tuple(violations),
        today=today,
        faults=len(present_faults(vehicle)),
    )
