"""`knockon export`: a plan as calendar events, a spreadsheet, a page to tick off, or JSON."""

from __future__ import annotations

from enum import StrEnum
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from planner.cli.ending import Exit, Stop, listed
from planner.cli.options import FromOption
from planner.cli.planning import LIMIT_S

if TYPE_CHECKING:
    from planner.model.answer import Answer


class Form(StrEnum):
    """What a plan can be had as: the keys of `planner.export.EXPORTERS`, known without loading them."""

    ICS = "ics"
    CSV = "csv"
    MD = "md"
    JSON = "json"


def export(
    project: Annotated[Path, typer.Argument(help="Folder with vehicle.yaml and jobs/.")],
    job: Annotated[str, typer.Argument(help="A job of the project.")],
    form: Annotated[
        Form,
        typer.Option("--as", help="Calendar events, rows for a spreadsheet, a page to tick off, or all of it as JSON."),
    ],
    output: Annotated[
        Path | None,
        typer.Option("-o", "--output", help="The file to write, - for stdout; else out/JOB.FORM in the project."),
    ] = None,
    from_day: FromOption = None,
    option: Annotated[str, typer.Option(help="Which option of the job; else the one it takes, else the first.")] = "",
    chances: Annotated[bool, typer.Option("--odds", help="With how likely the dates are.")] = False,
    limit_s: Annotated[float, typer.Option("--limit", help="Seconds for order and sessions to be proved.")] = LIMIT_S,
) -> None:
    """Write the plan to a file for a calendar, a spreadsheet, a note book or another program."""
    from planner.cli.current import Wish, current_plan, see_agreed
    from planner.cli.plan import now_or
    from planner.export import EXPORTERS
    from planner.files import write_whole

    wish = Wish(project=project, job=job, now=now_or(from_day), limit_s=limit_s, option=option, odds=chances)
    found = current_plan(wish)
    answer = found.replan.answer
    see_sound(answer, project, job)
    see_agreed(found)
    exporter = EXPORTERS[form.value]
    text = exporter.write(answer)
    if output == Path("-"):
        typer.echo(text, nl=False)
        return
    path = output if output is not None else project / "out" / f"{job}{exporter.suffix}"
    write_whole(path, text)
    typer.echo(f"written to {path}: {exporter.what}")


def see_sound(answer: Answer, project: Path, job: str) -> None:
    """Stop when there is nothing that anybody should work from."""
    from planner.export.plan_words import trouble_of

    if answer.violations:
        told = listed(answer.violations, 5)
        raise Stop(Exit.BUG, f"the independent checker does not accept this plan; nothing is written:{told}", "tell us")
    told = listed(trouble_of(answer.plan))
    if not answer.plan.slots and not told:
        raise Stop(Exit.FAULTS, "nothing is left to do", f"`knockon status {project} {job}` says where it stands")
    if not answer.plan.slots:
        raise Stop(Exit.FAULTS, f"there is no plan to write down:{told}", f"`knockon plan {project} {job}` tells more")
