"""`knockon undo`: a line of the log does not count."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from planner.cli.options import AtOption, InOption, JobOption, whole


def undo(
    line: Annotated[
        int | None,
        typer.Argument(
            parser=whole,
            metavar="[LINE]",
            help="Number of the line (`status --log`), that one alone; none: all that the last command wrote, agreed "
            "plans aside.",
        ),
    ] = None,
    project: InOption = Path(),
    job: JobOption = "",
    at: AtOption = None,
) -> None:
    """Take the last command's lines of the log back, or one line, by one more: nothing is ever rubbed out."""
    from planner.cli.undoing import take_back

    take_back(project, job, line, at)
