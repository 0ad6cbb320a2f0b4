"""`knockon plan`: the order of work, in dated sessions, with its checkpoints."""

from __future__ import annotations

import json
from datetime import date, datetime
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from planner.cli.ending import Exit, Stop
from planner.cli.options import FromOption
from planner.cli.planning import LIMIT_S

if TYPE_CHECKING:
    from planner.model.answer import Answer

QUICK_S = 1.0


def plan(
    project: Annotated[Path, typer.Argument(help="Folder with vehicle.yaml and jobs/.")],
    job: Annotated[str, typer.Argument(help="A job of the project.")],
    as_json: Annotated[bool, typer.Option("--json", help="The plan as JSON.")] = False,
    steps_only: Annotated[bool, typer.Option("--short", help="Steps without tools, cautions and checks.")] = False,
    about: Annotated[str, typer.Option(help="Only the steps that handle this part, link, cut or circuit.")] = "",
    from_day: FromOption = None,
    option: Annotated[str, typer.Option(help="Which option of the job; else the one it takes, else the first.")] = "",
    why: Annotated[bool, typer.Option("--why", help="All the finish hangs on, what your wishes cost.")] = False,
    chances: Annotated[bool, typer.Option("--odds", help="How likely the dates are.")] = False,
    limit_s: Annotated[float, typer.Option("--limit", help="Seconds for order and sessions to be proved.")] = LIMIT_S,
    quick: Annotated[
        bool, typer.Option("--quick", help="The first plan that can be had, and how far from proved.")
    ] = False,
    agreed: Annotated[bool, typer.Option("--agree", help="This is the plan to work to: write it to the log.")] = False,
) -> None:
    """Plan the work: least strip-down, order, sessions, checkpoints, what to buy.

    Of a job that has been begun, what is left is planned.
    """
    from planner.cli.current import Wish, current_plan

    now = now_or(from_day)
    seconds = QUICK_S if quick else limit_s
    found = current_plan(
        Wish(project=project, job=job, now=now, limit_s=seconds, option=option, odds=chances, costs=why)
    )
    answer = found.replan.answer
    _tell(answer, about, as_json=as_json, short=steps_only, why=why)
    see_planned(answer)
    if agreed:
        from planner.cli.agreeing import agree

        agree(found.replan, found.book, found.replan.now)


def see_planned(answer: Answer) -> None:
    """End the command when there is no plan, which was said with its reasons, or when it is wrong."""
    if answer.plan.trouble or answer.plan.strip.trouble:
        raise Stop(Exit.FAULTS)
    if answer.violations:
        raise Stop(Exit.BUG, "the independent checker does not accept this plan", "do not work from it; tell us")


def _tell(answer: Answer, about: str, *, as_json: bool, short: bool, why: bool) -> None:
    from planner.cli.show_plan import show_about, show_plan, subjects_of
    from planner.export import plan_json

    if as_json:
        typer.echo(json.dumps(plan_json(answer), indent=1, ensure_ascii=False))
    elif about:
        show_about(answer, _known(about, answer, subjects_of(answer.work)))
    else:
        show_plan(answer, short=short, why=why)


def _known(about: str, answer: Answer, subjects: frozenset[str]) -> str:
    """Stop when ``about`` is neither in the plan nor on the vehicle: a slip of the pen would look like no work."""
    from planner.cli.called import id_called, names_of

    names = {i: i for i in (*sorted(subjects), *answer.vehicle.systems)} | names_of(answer.vehicle, answer.job)
    return id_called(
        about, names, "nothing in the plan is called", "name a part, link, cut, circuit or condition of the plan"
    )


def now_or(from_day: datetime | None) -> datetime:
    """The start of the day asked for, else this moment."""
    from planner.cli.logbook import moment_of

    return moment_of(from_day)


def first_day(from_day: datetime | None) -> date:
    """The day asked for, else today."""
    from planner.cli.logbook import moment_of

    return moment_of(from_day).date()
