"""`knockon record`: what was read, found, measured, put away, broken, lost or came by post."""

from __future__ import annotations

from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from planner.cli.helping import WholeSentences
from planner.cli.options import AtOption, InOption, JobOption, Names, Where, day_of
from planner.cli.record_checks import check, failed, needless
from planner.model.words import MOST_DAYS, MOST_HANDS, MOST_MIN, MOST_PRICE

if TYPE_CHECKING:
    from types import ModuleType

record = typer.Typer(
    cls=WholeSentences,
    help="Write down what was read, found, measured, put away, broken or lost.",
    no_args_is_help=True,
    rich_markup_mode=None,
)
record.command("check")(check)
record.command("failed")(failed)
record.command("needless")(needless)

DayArgument = Annotated[date, typer.Argument(parser=day_of, metavar="DAY", help="A date, such as 2026-05-16.")]


def recording() -> ModuleType:
    """What the verbs below do, loaded when one of them is used."""
    from planner.cli import recording as module

    return module


@record.command()
def arrived(
    what: Annotated[list[str], typer.Argument(help="Names on the buying list.")],
    project: InOption = Path(),
    job: JobOption = "",
    at: AtOption = None,
) -> None:
    """Things bought are here."""
    recording().arrived(Where(project, job, at), what)


@record.command()
def ordered(
    what: Annotated[list[str], typer.Argument(help="Names on the buying list.")],
    due: Annotated[
        date | None, typer.Option(parser=day_of, metavar="DAY", help="When it is expected; else after its lead days.")
    ] = None,
    project: InOption = Path(),
    job: JobOption = "",
    at: AtOption = None,
) -> None:
    """Things are ordered and expected on a day."""
    recording().ordered(Where(project, job, at), what, due)


@record.command()
def size(
    name: Annotated[str, typer.Argument(help='The size as `knockon measure` calls it, such as "header-tank.at.z".')],
    value: Annotated[str, typer.Argument(help='With its unit and, if you like, its doubt: "645 mm +/- 1 mm".')],
    project: InOption = Path(),
    job: JobOption = "",
    at: AtOption = None,
) -> None:
    """A size was measured: the next plan reckons with it, `adopt` writes it into the vehicle's file."""
    recording().size(Where(project, job, at), name, value)


@record.command()
def kept(
    of: Annotated[str, typer.Argument(help="A part, or the number of the step that filled the bag.")],
    where: Annotated[str, typer.Argument(help="Where it was put.")],
    project: InOption = Path(),
    job: JobOption = "",
    at: AtOption = None,
) -> None:
    """Where the bag of bolts, or the part itself, was put."""
    recording().kept(Where(project, job, at), of, where)


@record.command()
def photo(
    of: Annotated[str, typer.Argument(help="A part, or the number of a step.")],
    file: Annotated[str, typer.Argument(help="The photo's file name.")],
    project: InOption = Path(),
    job: JobOption = "",
    at: AtOption = None,
) -> None:
    """The name of a photo; the file itself is not looked at."""
    recording().photo(Where(project, job, at), of, file)


@record.command()
def note(
    text: Annotated[str, typer.Argument(help="Anything worth keeping.")],
    of: Annotated[str, typer.Option(help="A part, or the number of a step.")] = "",
    project: InOption = Path(),
    job: JobOption = "",
    at: AtOption = None,
) -> None:
    """A note."""
    recording().note(Where(project, job, at), text, of)


@record.command()
def found(  # the options of the verb
    title: Annotated[str, typer.Argument(help="What is to be done about it.")],
    minutes: Annotated[int, typer.Option(min=1, max=MOST_MIN, help="Your guess.")] = 30,
    hands: Annotated[int, typer.Option(min=1, max=MOST_HANDS)] = 1,
    before: Annotated[list[str] | None, typer.Option(help="Before the work on this part, cut or own task.")] = None,
    after: Annotated[list[str] | None, typer.Option(help="After the work on this part, cut or own task.")] = None,
    off: Annotated[list[str] | None, typer.Option(help="With this part or link off.")] = None,
    fitted: Annotated[list[str] | None, typer.Option(help="With this part or link in place.")] = None,
    project: InOption = Path(),
    job: JobOption = "",
    at: AtOption = None,
) -> None:
    """Something the plan did not know: more work, found in the metal."""
    names = Names(before=before or (), after=after or (), off=off or (), fitted=fitted or ())
    recording().found(Where(project, job, at), title, minutes, hands, names)


@record.command()
def broken(  # the options of the verb
    part: Annotated[str, typer.Argument(help="The part or link.")],
    why: Annotated[str, typer.Argument(help="What happened to it.")],
    minutes: Annotated[int, typer.Option(min=0, max=MOST_MIN, help="To mend or make it again.")] = 60,
    days: Annotated[int, typer.Option(min=0, max=MOST_DAYS, help="Until a new one is here.")] = 0,
    price: Annotated[float, typer.Option(min=0, max=MOST_PRICE)] = 0.0,
    project: InOption = Path(),
    job: JobOption = "",
    at: AtOption = None,
) -> None:
    """A part was damaged: it is mended, made or bought again."""
    recording().broken(Where(project, job, at), part, why, minutes, days, price)


@record.command()
def lost(day: DayArgument, project: InOption = Path(), job: JobOption = "", at: AtOption = None) -> None:
    """No work on that day after all."""
    recording().lost(Where(project, job, at), day)


@record.command()
def extra(
    day: DayArgument,
    hours: Annotated[str, typer.Argument(help="From and to, such as 18:00-21:30.")],
    hands: Annotated[int, typer.Option(min=1, max=MOST_HANDS)] = 1,
    project: InOption = Path(),
    job: JobOption = "",
    at: AtOption = None,
) -> None:
    """One more session."""
    recording().more_time(Where(project, job, at), day, hours, hands)


@record.command()
def ticks(
    file: Annotated[Path, typer.Argument(help="What the job book's button saved; - for stdin.")],
    project: InOption = Path(),
    job: JobOption = "",
) -> None:
    """Take in the ticks and readings that were made in the job book."""
    from planner.cli.record_ticks import take_ticks

    take_ticks(file, project, job)
