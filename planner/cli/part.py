"""`knockon part`: everything that is known of one part, on one screen."""

from __future__ import annotations

import json
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from planner.cli.ending import Exit, Stop

if TYPE_CHECKING:
    from planner.model.effects import Knockons
    from planner.model.vehicle import Vehicle


def part(
    project: Annotated[Path, typer.Argument(help="Folder with vehicle.yaml.")],
    called: Annotated[str, typer.Argument(help="A component or link, by its id or name.", metavar="PART")],
    job: Annotated[str | None, typer.Argument(help="A job: the part as it is when that is done, too.")] = None,
    as_json: Annotated[bool, typer.Option("--json", help="The same as JSON.")] = False,
) -> None:
    """Tell what holds a part, how it comes out, what must be off first, its working rooms and its neighbours."""
    from planner.cli.called import id_called, names_of
    from planner.cli.loading import catalog_read, job_read, vehicle_read
    from planner.cli.show_part import Stand, part_json, show_part
    from planner.knockon import find_knockons
    from planner.model.effects import Proof

    catalog = catalog_read()
    vehicle = vehicle_read(project, catalog)
    _see_one_name(project, called, job, vehicle)
    found = None if job is None else job_read(project, job, vehicle, catalog)
    name = id_called(
        called, names_of(vehicle, found), "there is no component and no link", "`knockon check` counts what there is"
    )
    stands = [Stand(vehicle=vehicle, title="as it stands")] if _is_on(vehicle, name) else []
    told: tuple[str, ...] = ()
    if found is not None:
        knockons = find_knockons(vehicle, found, catalog)
        if knockons.proof is Proof.NONE:
            raise Stop(
                Exit.FAULTS, f"there is no place for all of `{job}`", f"`knockon moves {project} {job}` tells why"
            )
        after, unknown = _when_done(vehicle, knockons)
        told = tuple(e.text for e in knockons.effects if e.subject == name)
        if _is_on(after, name):
            stands.append(Stand(vehicle=after, title=f"when it is done: {found.name}", told=told, without=unknown))
    if not stands:
        raise Stop(Exit.USAGE, f"`{name}` is on the vehicle neither before `{job}` nor after it")
    if as_json:
        typer.echo(json.dumps(part_json(name, stands, catalog, told), indent=1, ensure_ascii=False))
    else:
        show_part(name, stands, catalog, told)


def _see_one_name(project: Path, called: str, job: str | None, vehicle: Vehicle) -> None:
    """A name of two words without quotes reads as a part and a job."""
    from planner.cli.called import ids_called, names_of
    from planner.shelf import list_jobs

    if job is None or job in list_jobs(project) or not ids_called(f"{called} {job}", names_of(vehicle)):
        return
    hint = f"knockon part {project} '{called} {job}'"
    raise Stop(Exit.USAGE, f"there is no job `{job}`: a name of several words stands in quotes", hint)


def _is_on(vehicle: Vehicle, name: str) -> bool:
    return name in vehicle.components or name in vehicle.links


def _when_done(vehicle: Vehicle, knockons: Knockons) -> tuple[Vehicle, frozenset[str]]:
    """The vehicle after a job, and the links made anew for which no run was found."""
    from planner.model.effects import EffectKind

    runs = {i: run for i, run in knockons.runs.items() if i in knockons.links_after}
    found = {i: replace(knockons.links_after[i], via_mm=run.points_mm[1:-1]) for i, run in runs.items()}
    after = replace(vehicle, components=knockons.after, links=knockons.links_after | found)
    return after, frozenset(e.subject for e in knockons.effects if e.kind is EffectKind.REMADE) - found.keys()
