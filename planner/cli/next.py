"""`knockon next`: what to do now, with what it needs."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Annotated

import typer

from planner.cli.options import AtOption, JobArgument, ProjectArgument, whole

COUNT = 4


def next_(
    project: ProjectArgument = Path(),
    job: JobArgument = "",
    count: Annotated[
        int, typer.Option("-n", "--count", parser=whole, metavar="N", help="How many steps to look ahead.")
    ] = COUNT,
    as_json: Annotated[bool, typer.Option("--json", help="The same as JSON.")] = False,
    at: AtOption = None,
) -> None:
    """Say what to do now: the next step whole, those after it by name, and what stands in the way of which."""
    from planner.cli.agreeing import changed_inputs
    from planner.cli.logbook import log_book, moment_of
    from planner.cli.show_next import next_json, show_next

    now = moment_of(at)
    book = log_book(project, job, now)
    book.plan()
    if as_json:
        typer.echo(json.dumps(next_json(book, count), indent=1, ensure_ascii=False))
        return
    show_next(book, count, now, changed_inputs(book))
