"""`knockon record`: what was read, found, measured, put away, broken, lost or came by post."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from planner.cli.helping import WholeSentences
from planner.cli.options import AtOption, InOption, JobOption, Where
from planner.cli.record_checks import check, failed, needless
from planner.cli.record_found import found
from planner.cli.typed import TypedCommand
from planner.model.words import MOST_DAYS, MOST_HANDS, MOST_MIN, MOST_PRICE

if TYPE_CHECKING:
    from types import ModuleType

record = typer.Typer(
    cls=WholeSentences,
    help="Write down what was read, found, measured, put away, broken or lost.",
    no_args_is_help=True,
    rich_markup_mode=None,
)
record.command("check", cls=TypedCommand)(check)
record.command("failed", cls=TypedCommand)(failed)
record.command("needless", cls=TypedCommand)(needless)
record.command("found", cls=TypedCommand)(found)


def recording() -> ModuleType:
    """What the verbs below do, loaded when one of them is used."""
    from planner.cli import recording as module

    return module


@record.command(cls=TypedCommand)
def arrived(
    what: Annotated[list[str], typer.Argument(help="Names on the buying list.")],
    project: InOption = Path(),
    job: JobOption = "",
    at: AtOption = None,
) -> None:
    """Things bought are here."""
    recording().arrived(Where(project, job, at), what)


@record.command(cls=TypedCommand)
def ordered(
    what: Annotated[list[str], typer.Argument(help="Names on the buying list.")],
    due: Annotated[
        str,
        typer.Option(metavar="DAY", help="When it is expected, after the day of --at; else after its lead days."),
    ] = "",
    project: InOption = Path(),
    job: JobOption = "",
    at: AtOption = None,
) -> None:
    """Things are ordered and expected on a day."""
    recording().ordered(Where(project, job, at), what, due)


@record.command(cls=TypedCommand)
def size(
    name: Annotated[str, typer.Argument(help='The size as `knockon measure` calls it, such as "header-tank.at.z".')],
    value: Annotated[
        list[str], typer.Argument(help='With its unit and, if you like, its doubt: "645 mm +/- 1 mm"; -155 for left.')
    ],
    sure: Annotated[bool, typer.Option("--sure", help="It is so, however far from what was known.")] = False,
    project: InOption = Path(),
    job: JobOption = "",
    at: AtOption = None,
) -> None:
    """A size was measured: says whether the agreed plan holds with it; `adopt` writes it into the vehicle's file."""
    from planner.cli.settling import size as measured

    measured(Where(project, job, at), name, " ".join(value), sure=sure)


@record.command(cls=TypedCommand)
def settled(
    question: Annotated[
        str, typer.Argument(help="The question as `knockon status` calls it, what it is about, or words of it.")
    ],
    answer: Annotated[str, typer.Argument(help="What was measured or decided, in your words.")],
    project: InOption = Path(),
    job: JobOption = "",
    at: AtOption = None,
) -> None:
    """An open question was settled on the vehicle: what waited for it can be cut, drilled or bent."""
    from planner.cli.settling import settled as closed

    closed(Where(project, job, at), question, answer)


@record.command(cls=TypedCommand)
def kept(
    of: Annotated[str, typer.Argument(help="A part, or the number of the step that filled the bag.")],
    where: Annotated[str, typer.Argument(help="Where it was put.")],
    project: InOption = Path(),
    job: JobOption = "",
    at: AtOption = None,
) -> None:
    """Where the bag of bolts, or the part itself, was put."""
    recording().kept(Where(project, job, at), of, where)


@record.command(cls=TypedCommand)
def photo(
    of: Annotated[str, typer.Argument(help="A part, or the number of a step.")],
    file: Annotated[str, typer.Argument(help="The photo's file name.")],
    project: InOption = Path(),
    job: JobOption = "",
    at: AtOption = None,
) -> None:
    """The name of a photo; the file itself is not looked at."""
    recording().photo(Where(project, job, at), of, file)


@record.command(cls=TypedCommand)
def note(
    text: Annotated[str, typer.Argument(help="Anything worth keeping.")],
    of: Annotated[str, typer.Option(help="A part, or the number of a step.")] = "",
    project: InOption = Path(),
    job: JobOption = "",
    at: AtOption = None,
) -> None:
    """A note."""
    recording().note(Where(project, job, at), text, of)


@record.command(cls=TypedCommand)
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


@record.command(cls=TypedCommand)
def lost(
    day: Annotated[list[str], typer.Argument(metavar="DAY", help="A date or several: 2026-05-16, sat 5 & sun 6 dec.")],
    project: InOption = Path(),
    job: JobOption = "",
    at: AtOption = None,
) -> None:
    """No work on that day after all."""
    recording().lost(Where(project, job, at), " ".join(day))


@record.command(cls=TypedCommand)
def extra(
    session: Annotated[
        list[str],
        typer.Argument(
            metavar="DAY HOURS [HANDS]",
            help="When, from and to, how many work: sat 5 dec 18:00-21:30 2; sat & sun 10-16.",
        ),
    ],
    hands: Annotated[int | None, typer.Option(min=1, max=MOST_HANDS, help="How many work; else one.")] = None,
    project: InOption = Path(),
    job: JobOption = "",
    at: AtOption = None,
) -> None:
    """One more session, or several."""
    recording().more_time(Where(project, job, at), " ".join(session), hands)


@record.command(cls=TypedCommand)
def ticks(
    file: Annotated[Path, typer.Argument(help="What the job book's button saved; - for stdin.")],
    project: InOption = Path(),
    job: JobOption = "",
) -> None:
    """Take in the ticks and readings that were made in the job book."""
    from planner.cli.record_ticks import take_ticks

    take_ticks(file, project, job)
