"""`knockon adopt`: what was built becomes what the vehicle's file describes."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from planner.cli.options import JobArgument, ProjectArgument


def adopt(
    project: ProjectArgument = Path(),
    job: JobArgument = "",
    yes: Annotated[bool, typer.Option("--yes", help="Write it without asking.")] = False,
    early: Annotated[str, typer.Option(help="Why it is done with work still open.")] = "",
    as_json: Annotated[bool, typer.Option("--json", help="The difference and what it leaves out as JSON.")] = False,
) -> None:
    """Show how the vehicle's file has to change to describe what was built, and change it on yes."""
    from planner.cli.adopting import take_over

    take_over(project, job, yes=yes, early=early, as_json=as_json)
