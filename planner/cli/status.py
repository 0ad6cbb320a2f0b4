"""`knockon status`: where a job stands, and whether the vehicle may move."""

from __future__ import annotations

import json
from datetime import datetime
from pathlib import Path
from typing import Annotated

import typer

from planner.cli.ending import Exit, Stop
from planner.cli.options import JobArgument, ProjectArgument, moment


def status(
    project: ProjectArgument = Path(),
    job: JobArgument = "",
    road: Annotated[
        bool, typer.Option("--road", help="May it move, may it go on the road, what stands between.")
    ] = False,
    log: Annotated[bool, typer.Option("--log", help="Every line of the log with its number.")] = False,
    pace: Annotated[bool, typer.Option("--pace", help="How long each kind of work takes you.")] = False,
    as_json: Annotated[bool, typer.Option("--json", help="The same as JSON.")] = False,
    at: Annotated[
        datetime | None,
        typer.Option("--at", parser=moment, metavar="MOMENT", help="As it stood then, 2026-05-02T09:30; else now."),
    ] = None,
) -> None:
    """Where the job stands: done and open, parts off, conditions entered, parcels, what is to be done again."""
    from planner.cli.beside import begun_beside
    from planner.cli.logbook import as_of, log_book, moment_of
    from planner.cli.show_status import show_log, show_pace, show_road, show_status, status_json
    from planner.log import road_of

    book = log_book(project, job, moment_of(at))
    book.plan()
    if at is not None:
        book = as_of(book, at)
    beside = begun_beside(book) if road or as_json else ()
    if as_json:
        typer.echo(json.dumps(status_json(book, beside), indent=1, ensure_ascii=False))
    elif log:
        show_log(book)
    elif pace:
        show_pace(book)
    elif road:
        show_road(book, beside)
    else:
        show_status(book)
    if road and (road_of(book.plan(), book.standing).road or beside):
        raise Stop(Exit.FAULTS)
