"""`knockon draw`: the vehicle, or a job before and after, to scale on one sheet."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from planner.cli.ending import Exit, Stop

if TYPE_CHECKING:
    from planner.draw import Sheet


def draw(
    project: Annotated[Path, typer.Argument(help="Folder with vehicle.yaml.")],
    job: Annotated[str | None, typer.Argument(help="A job of the project, to draw before and after it.")] = None,
    output: Annotated[
        Path | None,
        typer.Option("-o", "--output", help="The file to write, - for stdout; else out/JOB.svg in the project."),
    ] = None,
    as_list: Annotated[bool, typer.Option("--list", help="Print the numbered list instead of drawing.")] = False,
) -> None:
    """Draw the vehicle to scale from the right, from above and from the front, as an SVG picture."""
    from planner.draw import list_text, svg_text

    if as_list and output is not None:
        raise Stop(Exit.USAGE, "--list prints and writes no file: leave out one of --list and -o")
    sheet = _sheet(project, job)
    if as_list:
        typer.echo(list_text(sheet), nl=False)
    elif output == Path("-"):
        typer.echo(svg_text(sheet), nl=False)
    else:
        path = output if output is not None else project / "out" / f"{sheet.name}.svg"
        _write(path, svg_text(sheet))
        typer.echo(f"drawn 1 : {sheet.scale:g} on A3 in {path}")


def _sheet(project: Path, job: str | None) -> Sheet:
    from planner.cli.loading import catalog_read, job_read, vehicle_read
    from planner.draw import draw_job, draw_vehicle

    catalog = catalog_read()
    vehicle = vehicle_read(project, catalog)
    if job is None:
        return draw_vehicle(vehicle)

    from planner.knockon import find_knockons
    from planner.model.effects import Proof

    asked = job_read(project, job, vehicle, catalog)
    knockons = find_knockons(vehicle, asked, catalog)
    if knockons.proof is Proof.NONE:
        hint = f"`knockon moves {project} {job}` says why"
        raise Stop(Exit.FAULTS, f"`{asked.id}` has no answer, so there is nothing to draw after it", hint)
    return draw_job(vehicle, asked, knockons)


def _write(path: Path, text: str) -> None:
    """Write the whole file or none of it."""
    path.parent.mkdir(parents=True, exist_ok=True)
    part = path.with_name(f".{path.name}.part")
    try:
        part.write_text(text, encoding="utf-8", newline="\n")
        part.replace(path)
    finally:
        part.unlink(missing_ok=True)
