"""`knockon done`: a step is done, or several."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from planner.cli.options import AtOption, InOption, JobOption, Where, minutes, open_steps


def done(
    steps: Annotated[
        list[str] | None,
        typer.Argument(autocompletion=open_steps, help="Numbers of steps, 4 or 4-7; none: the next that can be done."),
    ] = None,
    took_min: Annotated[
        int | None,
        typer.Option("--took", parser=minutes, metavar="MIN", help="Minutes it took by the clock, all steps together."),
    ] = None,
    anyway: Annotated[
        str, typer.Option(help="Why it was done though something before it is open; never past a checkpoint.")
    ] = "",
    project: InOption = Path(),
    job: JobOption = "",
    at: AtOption = None,
) -> None:
    """Write down that a step is done; with no number, the next one."""
    from planner.cli.doing import mark_done

    mark_done(Where(project, job, at), steps or [], took_min, anyway)
