"""`knockon moves`: what else must move, and why."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Annotated

import typer

from planner.cli.ending import Exit, Stop

_OTHERS = 3


def moves(
    project: Annotated[Path, typer.Argument(help="Folder with vehicle.yaml.")],
    what: Annotated[str, typer.Argument(help="A job of the project, or a component.", metavar="JOB|PART")],
    by: Annotated[str | None, typer.Option(help="Move the part by x y z (x rearward, y right, z up).")] = None,
    to: Annotated[str | None, typer.Option(help="Move the part to x y z.")] = None,
    onto: Annotated[str | None, typer.Option(help="With --by or --to: what carries it there.")] = None,
    grow: Annotated[str | None, typer.Option(help="Make the part larger by x y z.")] = None,
    stays: Annotated[str | None, typer.Option("--from", help="With --grow: the side that stays: bottom.")] = None,
    off: Annotated[bool, typer.Option("--off", help="Only take the part off.")] = False,
    as_json: Annotated[bool, typer.Option("--json", help="The same as JSON.")] = False,
    runs: Annotated[bool, typer.Option("--runs", help="Only the cut list of the links made anew.")] = False,
    others: Annotated[
        bool, typer.Option("--others", help="The three next-best answers as well (takes longer).")
    ] = False,
    every: Annotated[bool, typer.Option("--every", help="Every cause of everything, and every check.")] = False,
) -> None:
    """Tell what else must move, come off, be made anew or be tested again, each with its reason."""
    from planner.cli.as_json import knockons_json
    from planner.cli.loading import catalog_read, job_read, vehicle_read
    from planner.cli.measured import as_logged
    from planner.cli.show_moves import show_moves
    from planner.cli.show_runs import show_runs
    from planner.knockon import find_knockons, present_faults
    from planner.model.effects import Proof
    from planner.shelf import list_jobs

    from planner.cli.asked_change import job_for_part  # isort: skip

    catalog = catalog_read()
    vehicle = vehicle_read(project, catalog)
    jobs = list_jobs(project)
    is_job = what in jobs or what.endswith((".yaml", ".yml"))
    if is_job and (by or to or onto or grow or stays or off):
        raise Stop(Exit.USAGE, f"`{what}` is a job: --by, --to, --onto, --grow, --from and --off go with a component")
    job = (
        job_read(project, what, vehicle, catalog)
        if is_job
        else job_for_part(vehicle, what, by=by, to=to, onto=onto, grow=grow, off=off, stays=stays, jobs=jobs)
    )
    if is_job:
        vehicle, job = as_logged(project, vehicle, job, catalog)
    knockons = find_knockons(vehicle, job, catalog, others=_OTHERS if others else 0)
    faults = len(present_faults(vehicle))
    if as_json:
        typer.echo(json.dumps(knockons_json(knockons, faults), indent=1, ensure_ascii=False))
    elif runs:
        show_runs(vehicle, job, knockons)
    else:
        show_moves(vehicle, job, knockons, every=every, faults=faults)
    if knockons.proof is Proof.NONE:
        raise Stop(Exit.FAULTS)
