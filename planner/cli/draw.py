"""`knockon draw`: the vehicle, or a job before and after, to scale on one sheet; and pictures of a job and its plan."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from planner.cli.ending import Exit, Stop
from planner.cli.options import FromOption
from planner.cli.picturing import Engine, EngineOption, Picture, Wanted, WhatOption, pictured
from planner.cli.planning import LIMIT_S

if TYPE_CHECKING:
    from planner.draw import Near, Sheet, UnknownPartError
    from planner.model.job import Job
    from planner.model.vehicle import Vehicle

_REACH = {"mm": "150 mm", "inch": "6 in"}
_LEAST_MM, _FARTHEST_MM = 1.0, 20_000.0
"""Nothing is to be seen within less, and no vehicle is longer."""


def draw(
    project: Annotated[Path, typer.Argument(help="Folder with vehicle.yaml.")],
    job: Annotated[str | None, typer.Argument(help="A job of the project, to draw before and after it.")] = None,
    output: Annotated[
        Path | None,
        typer.Option("-o", "--output", help="The file to write, - for stdout; else out/JOB.svg in the project."),
    ] = None,
    what: WhatOption = Picture.ELEVATIONS,
    as_list: Annotated[
        bool, typer.Option("--words", "--list", help="Print the same in lines instead of drawing.")
    ] = False,
    near: Annotated[
        str | None, typer.Option(metavar="PART", help="A closer look at a part or link: only what is round it.")
    ] = None,
    reach: Annotated[
        str | None, typer.Option(metavar="LENGTH", help="How far round that part: else 150 mm or 6 in.")
    ] = None,
    engine: EngineOption = Engine.ANY,
    from_day: FromOption = None,
    option: Annotated[str, typer.Option(help="Which option of the job; else the one it takes, else the first.")] = "",
    limit_s: Annotated[float, typer.Option("--limit", help="Seconds for order and sessions to be proved.")] = LIMIT_S,
) -> None:
    """Draw the vehicle to scale, or a picture of a job and its plan, as an SVG file."""
    if as_list and output is not None:
        raise Stop(Exit.USAGE, "--words prints and writes no file: leave out one of --words and -o")
    if what is Picture.ELEVATIONS:
        _elevations(project, job, output, (near, reach), as_list=as_list, option=option)
        return
    if job is None:
        raise Stop(Exit.USAGE, f"--what {what} is a picture of a job: say which")
    if near is not None or reach is not None:
        raise Stop(Exit.USAGE, "--near and --reach are for elevations")
    wanted = Wanted(
        project=project,
        job=job,
        what=what,
        words=as_list,
        engine=engine,
        option=option,
        from_day=from_day,
        limit_s=limit_s,
    )
    _put(pictured(wanted), project / "out" / f"{job}.{what}.svg" if output is None else output, told=as_list)


def _put(text: str, path: Path, *, told: bool) -> None:
    from planner.files import write_whole

    if told or path == Path("-"):
        typer.echo(text, nl=False)
        return
    write_whole(path, text)
    typer.echo(f"drawn in {path}")


def _elevations(
    project: Path,
    job: str | None,
    output: Path | None,
    look: tuple[str | None, str | None],
    *,
    as_list: bool,
    option: str,
) -> None:
    """Draw the vehicle from the right, from above and from the front; ``look``: near what, and how far round it."""
    from planner.draw import list_text, scale_words, svg_text
    from planner.files import write_whole

    if option and job is None:
        raise Stop(Exit.USAGE, "--option is for a job: say which")
    near, reach = look
    if reach is not None and near is None:
        raise Stop(Exit.USAGE, "--reach says how far round a part: say which with --near")
    # A file that was named is one sheet; without, a job may be worth a second one.
    sheet, closer = _sheets(project, (job, option), near, reach, alone=as_list or output is not None)
    if as_list:
        typer.echo(list_text(sheet), nl=False)
    elif output == Path("-"):
        typer.echo(svg_text(sheet), nl=False)
    else:
        for each in (sheet, *closer):
            path = output if output is not None else project / "out" / f"{each.name}.svg"
            write_whole(path, svg_text(each))
            typer.echo(f"drawn {scale_words(each.scale)} on A3 in {path}")
        old = project / "out" / f"{job}.detail.svg"
        if job is not None and near is None and output is None and not closer and old.exists():
            typer.echo(f"{old} is of an earlier run: no closer look is worth a sheet now")


def _sheets(
    project: Path, named: tuple[str | None, str], near: str | None, reach: str | None, *, alone: bool
) -> tuple[Sheet, tuple[Sheet, ...]]:
    """The sheet that was asked for, and those that go with it; ``named`` are the job and its option."""
    from planner.cli.loading import catalog_read, job_read, vehicle_read
    from planner.cli.measured import as_logged
    from planner.draw import UnknownPartError, draw_detail, draw_job, draw_vehicle
    from planner.knockon import find_knockons, present_faults
    from planner.model.effects import Proof

    job, option = named
    catalog = catalog_read()
    vehicle = vehicle_read(project, catalog)
    asked = None if job is None else job_read(project, job, vehicle, catalog, option)
    if asked is not None:
        vehicle, asked = as_logged(project, vehicle, asked, catalog)
    window = _window(vehicle, asked, near, reach)
    try:
        if asked is None:
            return draw_vehicle(vehicle, present_faults(vehicle), window), ()
        knockons = find_knockons(vehicle, asked, catalog)
        if knockons.proof is Proof.NONE:
            hint = f"`knockon moves {project} {job}` says why"
            raise Stop(Exit.FAULTS, f"`{asked.id}` has no answer, so there is nothing to draw after it", hint)
        sheet = draw_job(vehicle, asked, knockons, window)
        detail = None if alone or window is not None else draw_detail(vehicle, asked, knockons, sheet)
    except UnknownPartError as error:
        raise Stop(Exit.USAGE, _unknown(error)) from error
    return sheet, (detail,) if detail is not None else ()


def _window(vehicle: Vehicle, job: Job | None, near: str | None, reach: str | None) -> Near | None:
    if near is None:
        return None
    from planner.cli.called import id_or_word, names_of
    from planner.draw import Near
    from planner.units import UnitError, format_length, parse_length

    bare = "inch" if vehicle.units == "inch" else "mm"
    try:
        size = parse_length(reach if reach is not None else _REACH[bare], bare="inch" if bare == "inch" else "mm")
    except UnitError as error:
        raise Stop(Exit.USAGE, f"--reach: {error.message}", error.hint) from error
    if not _LEAST_MM <= size.mm <= _FARTHEST_MM:
        least, most = (format_length(mm, vehicle.units) for mm in (_LEAST_MM, _FARTHEST_MM))
        raise Stop(Exit.USAGE, f"--reach {reach} is no use: from {least} to {most} is")
    return Near(part=id_or_word(near, names_of(vehicle, job)), reach_mm=size.mm)


def _unknown(error: UnknownPartError) -> str:
    """One line: what is not there, and what is that looks or sounds like it."""
    from planner.cli.called import near_to

    told = ", ".join(f"`{i}`" for i in near_to(error.part, error.names))
    return f"{error}; {f'near to it: {told}' if told else '`--list` tells the ids'}"
