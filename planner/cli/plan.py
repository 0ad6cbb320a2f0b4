"""`knockon plan`: the order of work, in dated sessions, with its checkpoints."""

from __future__ import annotations

import json
from datetime import date, datetime
from difflib import get_close_matches
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from planner.cli.ending import Exit, Stop
from planner.cli.options import FIRST_YEAR, LAST_YEAR
from planner.cli.planning import LIMIT_S

if TYPE_CHECKING:
    from planner.model.answer import Answer
    from planner.model.vehicle import Vehicle

QUICK_S = 1.0


def plan(
    project: Annotated[Path, typer.Argument(help="Folder with vehicle.yaml and jobs/.")],
    job: Annotated[str, typer.Argument(help="A job of the project.")],
    as_json: Annotated[bool, typer.Option("--json", help="The plan as JSON.")] = False,
    steps_only: Annotated[bool, typer.Option("--short", help="Steps without tools, cautions and checks.")] = False,
    about: Annotated[str, typer.Option(help="Only the steps that handle this part, link, cut or circuit.")] = "",
    from_day: Annotated[
        datetime | None, typer.Option("--from", formats=["%Y-%m-%d"], help="First day of work; else the job's own.")
    ] = None,
    option: Annotated[str, typer.Option(help="Which option of the job; else the one it takes, else the first.")] = "",
    why: Annotated[bool, typer.Option("--why", help="Everything the finish hangs on.")] = False,
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
    found = current_plan(Wish(project=project, job=job, now=now, limit_s=seconds, option=option, odds=chances))
    answer = found.replan.answer
    _tell(answer, about, found.vehicle, as_json=as_json, short=steps_only, why=why)
    if answer.violations:
        raise Stop(Exit.BUG, "the independent checker does not accept this plan", "do not work from it; tell us")
    if answer.plan.trouble or answer.plan.strip.trouble:
        raise Stop(Exit.FAULTS)
    if agreed:
        from planner.cli.agreeing import agree

        agree(found.replan, found.book, now)


def _tell(answer: Answer, about: str, vehicle: Vehicle, *, as_json: bool, short: bool, why: bool) -> None:
    from planner.cli.show_plan import show_about, show_plan, subjects_of
    from planner.export import plan_json

    if as_json:
        typer.echo(json.dumps(plan_json(answer), indent=1, ensure_ascii=False))
    elif about:
        _see_known(about, subjects_of(answer.work), vehicle)
        show_about(answer, about)
    else:
        show_plan(answer, short=short, why=why)


def _see_known(about: str, subjects: frozenset[str], vehicle: Vehicle) -> None:
    """Stop when ``about`` is neither in the plan nor on the vehicle: a slip of the pen would look like no work."""
    if about in subjects or about in {*vehicle.components, *vehicle.links, *vehicle.systems}:
        return
    near = get_close_matches(about, sorted(subjects), n=1)
    hint = f"did you mean `{near[0]}`?" if near else "name a part, link, cut, circuit or condition of the plan"
    raise Stop(Exit.USAGE, f"nothing in the plan is called `{about}`", hint)


def now_or(from_day: datetime | None) -> datetime:
    """The start of the day asked for, else this moment."""
    if from_day is not None and not FIRST_YEAR <= from_day.year <= LAST_YEAR:
        raise Stop(Exit.USAGE, f"{from_day:%Y} is in no time of ours", f"years go from {FIRST_YEAR} to {LAST_YEAR}")
    from planner.cli.logbook import moment_of

    return moment_of(from_day)


def first_day(from_day: datetime | None) -> date:
    """The day asked for, else today."""
    from planner.cli.logbook import moment_of

    return moment_of(from_day).date()
