"""`knockon replan`: what is left, planned anew from where the job stands, and what that changes."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import Annotated

import typer

from planner.cli.options import AtOption, JobArgument, ProjectArgument
from planner.cli.planning import LIMIT_S


def replan(
    project: ProjectArgument = Path(),
    job: JobArgument = "",
    agreed: Annotated[bool, typer.Option("--agree", help="Work to the new plan from here on.")] = False,
    anew: Annotated[
        bool, typer.Option("--anew", help="Look for a better plan even where the agreed one holds.")
    ] = False,
    limit_s: Annotated[float, typer.Option("--limit", help="Seconds for order and sessions to be proved.")] = LIMIT_S,
    at: AtOption = None,
) -> None:
    """Plan what is left from where things stand: as little change as the facts allow, and why."""
    from planner.cli.agreeing import agree, changed_inputs
    from planner.cli.current import Wish, current_plan, see_not_before
    from planner.cli.logbook import log_book, moment_of
    from planner.cli.plan import see_planned
    from planner.cli.show_replan import show_replan
    from planner.cli.terminal import say
    from planner.log.sizes import look_of

    begun = log_book(project, job)
    if begun.standing.agreed is None:
        begun.plan()
    now = moment_of(at)
    see_not_before(begun, now)
    found = current_plan(Wish(project=project, job=begun.job, now=now, limit_s=limit_s, anew=anew))
    new, book = found.replan, found.book
    show_replan(new, book)
    see_planned(new.answer)
    told_again = new.bygone == (() if book.agreed is None else book.agreed.bygone)
    if (
        new.kept
        and told_again
        and not book.lost
        and not changed_inputs(book)
        and (book.agreed is None or look_of(book.agreed, book.standing) is None)
    ):
        return
    if agreed or _yes():
        agree(new, book, now)
    else:
        say("nothing is changed yet: --agree makes this the plan to work to")


def _yes() -> bool:
    """Ask, where there is somebody to ask."""
    if not (sys.stdin.isatty() and sys.stdout.isatty()):
        return False
    return typer.confirm("work to this plan from here on?", default=True)
